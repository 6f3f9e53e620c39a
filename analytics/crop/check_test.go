package crop_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// rule is a change to a good record and the one fault it must bring: a pointer and some of the words.
type rule[T any] struct {
	name           string
	spoil          func(*T)
	pointer, words string // no pointer: the record stays good
}

// checkRules makes a good record for each rule, spoils it, and wants just the fault named.
func checkRules[T any, P interface {
	*T
	crop.Record
}](t *testing.T, good func() T, rules []rule[T]) {
	t.Helper()
	r := good()
	if faults := crop.Check(P(&r), site(t), now); len(faults) > 0 {
		t.Fatalf("the good record is refused: %+v", faults)
	}
	for _, rule := range append(rules, rule[T]{"no id", func(r *T) { P(r).SetIdentity(crop.ID{}) }, "/id", "is missing"}) {
		t.Run(rule.name, func(t *testing.T) {
			r := good()
			rule.spoil(&r)
			faults := crop.Check(P(&r), site(t), now)
			if rule.pointer == "" {
				if len(faults) > 0 {
					t.Errorf("refused: %+v", faults)
				}
				return
			}
			if len(faults) != 1 || faults[0].Pointer != rule.pointer || !strings.Contains(faults[0].Detail, rule.words) {
				t.Errorf("got %+v, want one fault at %s with %q", faults, rule.pointer, rule.words)
			}
		})
	}
}

func dayp(s string) *crop.Date {
	d, err := crop.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return &d
}

func mom(s string) crop.Moment {
	m, err := crop.ParseMoment(s)
	if err != nil {
		panic(err)
	}
	return m
}

func TestCheckSeason(t *testing.T) {
	checkRules(t, func() crop.Season { return crop.Season{ID: fresh, Name: "2027"} }, []rule[crop.Season]{
		{"no name", func(r *crop.Season) { r.Name = " " }, "/name", "is empty"},
		{"longest name", func(r *crop.Season) { r.Name = strings.Repeat("é", 200) }, "", ""},
		{"too long a name", func(r *crop.Season) { r.Name = strings.Repeat("é", 201) }, "/name", "201 characters; it may have at most 200"},
		{"a name on two lines", func(r *crop.Season) { r.Name = "a\nb" }, "/name", "line break or tab"},
		{"a control character", func(r *crop.Season) { r.Name = "a\x00b" }, "/name", "U+0000"},
		{"delete", func(r *crop.Season) { r.Name = "a\x7fb" }, "/name", "U+007F"},
		{"the last control character", func(r *crop.Season) { r.Name = "a\u009fb" }, "/name", "U+009F"},
		{"a space that doesn't break", func(r *crop.Season) { r.Name = "a\u00a0b" }, "", ""},
		{"a control character of the second set", func(r *crop.Season) { r.Name = "a\u0085b" }, "/name", "U+0085"},
		{"broken UTF-8", func(r *crop.Season) { r.Name = "a\xffb" }, "/name", "not valid UTF-8"},
		{"ends before it begins", func(r *crop.Season) { r.FirstDay, r.LastDay = dayp("2026-05-02"), dayp("2026-05-01") }, "/last_day", "is 2026-05-01, before the first day, 2026-05-02"},
		{"one day long", func(r *crop.Season) { r.FirstDay, r.LastDay = dayp("2026-05-02"), dayp("2026-05-02") }, "", ""},
	})
}

func TestCheckPlace(t *testing.T) {
	checkRules(t, func() crop.Place { return crop.Place{ID: fresh, Name: "shed", TimeZone: "Asia/Kathmandu"} }, []rule[crop.Place]{
		{"no name", func(r *crop.Place) { r.Name = "" }, "/name", "is empty"},
		{"no zone", func(r *crop.Place) { r.TimeZone = "" }, "", ""},
		{"no such zone", func(r *crop.Place) { r.TimeZone = "Europe/Atlantis" }, "/time_zone", "IANA"},
		{"the machine's own zone", func(r *crop.Place) { r.TimeZone = "Local" }, "/time_zone", "IANA"},
	})
}

func TestCheckScale(t *testing.T) {
	stages := func(n int) []crop.Stage {
		s := make([]crop.Stage, n)
		for i := range s {
			s[i].Name = "s" + string(rune('a'+i))
		}
		return s
	}
	checkRules(t, func() crop.Scale { return crop.Scale{ID: fresh, Name: "two", Stages: stages(3), RipeStage: "sb"} }, []rule[crop.Scale]{
		{"no name", func(r *crop.Scale) { r.Name = "" }, "/name", "is empty"},
		{"24 stages", func(r *crop.Scale) { r.Stages = stages(24) }, "", ""},
		{"25 stages", func(r *crop.Scale) { r.Stages = stages(25) }, "/stages", "is a list of 25; give 2 to 24 stages"},
		{"a stage without a name", func(r *crop.Scale) { r.Stages[2].Name = "" }, "/stages/2/name", "is empty"},
		{"a stage twice", func(r *crop.Scale) { r.Stages[2].Name = "sa" }, "/stages/2/name", "stands twice"},
		{"a stage named like a column", func(r *crop.Scale) { r.Stages[2].Name = "note" }, "/stages/2/name", "another column"},
		{"a description too long", func(r *crop.Scale) { r.Stages[0].Description = strings.Repeat("x", 4001) }, "/stages/0/description", "4001"},
		{"ripe stage not on it", func(r *crop.Scale) { r.RipeStage = "red" }, "/ripe_stage", "not one of the stages"},
		{"ripe at once", func(r *crop.Scale) { r.RipeStage = "sa" }, "/ripe_stage", "the first stage"},
		{"a stage after ripe", func(r *crop.Scale) { r.RipeStage = "sb" }, "", ""},
	})
	// The columns of counts.csv by the contract, and id, total, truss and about, which other rules add.
	for _, column := range strings.Fields("id season plant counted_at trusses_counted trusses_total at_least observer note total truss about") {
		r := crop.Scale{ID: fresh, Name: "two", Stages: []crop.Stage{{Name: "green"}, {Name: column}}, RipeStage: column}
		if faults := crop.Check(&r, site(t), now); len(faults) != 1 || faults[0].Pointer != "/stages/1/name" {
			t.Errorf("a stage named %s: got %+v, want it refused", column, faults)
		}
	}
	one := crop.Scale{ID: fresh, Name: "one", Stages: stages(1), RipeStage: "sa"}
	if faults := crop.Check(&one, site(t), now); len(faults) != 2 || faults[0].Pointer != "/stages" || faults[1].Pointer != "/ripe_stage" {
		t.Errorf("one stage: got %+v, want faults at /stages and /ripe_stage", faults)
	}
	for _, shipped := range []crop.Scale{crop.DefaultScale(), crop.ColourClasses()} {
		if faults := crop.Check(&shipped, site(t), now); len(faults) > 0 {
			t.Errorf("%s: %+v", shipped.Name, faults)
		}
	}
}

// The shares of surface in the classes' descriptions are those of 7 CFR 51.1860 (United States Standards for Grades of Fresh
// Tomatoes): green none, breakers not more than 10 %, turning more than 10 and not more than 30 %, pink more than 30 and not
// more than 60 %, light red more than 60 % with not more than 90 % red, red more than 90 %. Compared with copies of its text.
func TestColourClasses(t *testing.T) {
	s := crop.ColourClasses()
	want := []struct{ name, above, upTo string }{
		{"green", "completely green", ""}, {"breakers", "a definite break", "not more than 10 %"}, {"turning", "more than 10 % and", "not more than 30 %"},
		{"pink", "more than 30 % and", "not more than 60 %"}, {"light red", "more than 60 % of", "not more than 90 % red"}, {"red", "more than 90 % of", ""},
	}
	if len(s.Stages) != len(want) || s.Ripe() != 5 {
		t.Fatalf("got %d classes, ripe %d", len(s.Stages), s.Ripe())
	}
	for i, w := range want {
		if got := s.Stages[i]; got.Name != w.name || !strings.Contains(got.Description, w.above) || !strings.Contains(got.Description, w.upTo) {
			t.Errorf("class %d: got %+v, want %s with %q and %q", i+1, got, w.name, w.above, w.upTo)
		}
	}
}

func TestCheckCultivar(t *testing.T) {
	checkRules(t, func() crop.Cultivar {
		return crop.Cultivar{ID: fresh, Name: "new", ScaleID: &orangeScale, HoldDays: new(3.0)}
	}, []rule[crop.Cultivar]{
		{"no name", func(r *crop.Cultivar) { r.Name = "" }, "/name", "is empty"},
		{"no scale of its own", func(r *crop.Cultivar) { r.ScaleID = nil }, "", ""},
		{"no such scale", func(r *crop.Cultivar) { r.ScaleID = &nobody }, "/scale_id", "no ripeness scale"},
		{"shortest hold", func(r *crop.Cultivar) { r.HoldDays = new(0.25) }, "", ""},
		{"too short a hold", func(r *crop.Cultivar) { r.HoldDays = new(0.24) }, "/hold_days", "is 0.24; it must be 0.25 to 365 days"},
		{"hold not a number", func(r *crop.Cultivar) { r.HoldDays = new(math.NaN()) }, "/hold_days", "0.25 to 365"},
		{"hold without end", func(r *crop.Cultivar) { r.HoldDays = new(math.Inf(1)) }, "/hold_days", "0.25 to 365"},
		{"note too long", func(r *crop.Cultivar) { r.Note = strings.Repeat("x", 4001) }, "/note", "at most 4000"},
		{"note on lines", func(r *crop.Cultivar) { r.Note = "a\n\tb" }, "", ""},
	})
}

func TestCheckPlant(t *testing.T) {
	good := func() crop.Plant {
		return crop.Plant{ID: fresh, SeasonID: season, PlaceID: lisbon, CultivarID: plain, Label: "B1", SownOn: dayp("2026-01-10")}
	}
	checkRules(t, good, []rule[crop.Plant]{
		{"no label", func(r *crop.Plant) { r.Label = "" }, "/label", "is empty"},
		{"no season", func(r *crop.Plant) { r.SeasonID = crop.ID{} }, "/season_id", "is missing; name the season"},
		{"no such season", func(r *crop.Plant) { r.SeasonID = nobody }, "/season_id", "there is no season"},
		{"no such place", func(r *crop.Plant) { r.PlaceID = nobody }, "/place_id", "there is no place"},
		{"no such cultivar", func(r *crop.Plant) { r.CultivarID = nobody }, "/cultivar_id", "there is no cultivar"},
		{"neither sown nor transplanted", func(r *crop.Plant) { r.SownOn = nil }, "/sown_on", "transplanted_on for a plant whose sowing date"},
		{"bought as a seedling", func(r *crop.Plant) { r.SownOn, r.TransplantedOn = nil, dayp("2026-02-10") }, "", ""},
		{"sown in the future", func(r *crop.Plant) { r.SownOn = dayp("2026-06-03") }, "/sown_on", "in the future"},
		{"sown tomorrow, which is today in Auckland", func(r *crop.Plant) { r.SownOn = dayp("2026-06-02") }, "", ""},
		{"transplanted on the day it was sown", func(r *crop.Plant) { r.TransplantedOn, r.RemovedOn = r.SownOn, r.SownOn }, "", ""},
		{"transplanted in the future", func(r *crop.Plant) { r.TransplantedOn = dayp("2026-06-03") }, "/transplanted_on", "is 2026-06-03, which is in the future"},
		{"removed in the future", func(r *crop.Plant) { r.RemovedOn = dayp("2026-06-03") }, "/removed_on", "is 2026-06-03, which is in the future"},
		{"a lot on two lines", func(r *crop.Plant) { r.Lot = "a\nb" }, "/lot", "line break"},
		{"a note too long", func(r *crop.Plant) { r.Note = strings.Repeat("x", 4001) }, "/note", "4001"},
		{"moved and removed on a day", func(r *crop.Plant) {
			r.RemovedOn, r.Moves = dayp("2026-02-02"), []crop.Move{{PlaceID: auckland, On: *dayp("2026-02-02")}}
		}, "", ""},
		{"transplanted before sown", func(r *crop.Plant) { r.TransplantedOn = dayp("2026-01-09") }, "/transplanted_on", "before the plant was sown"},
		{"removed before sown", func(r *crop.Plant) { r.RemovedOn = dayp("2026-01-09") }, "/removed_on", "before the plant was sown"},
		{"removed before transplanted", func(r *crop.Plant) { r.TransplantedOn, r.RemovedOn = dayp("2026-02-10"), dayp("2026-02-09") }, "/removed_on", "before the plant was transplanted"},
		{"its own origin", func(r *crop.Plant) { r.OriginID = &r.ID }, "/origin_id", "own id"},
		{"no such origin", func(r *crop.Plant) { r.OriginID = &nobody }, "/origin_id", "there is no plant"},
		{"origin of another season", func(r *crop.Plant) { r.OriginID = &elsewhere }, "/origin_id", "belongs to another season"},
		{"a good origin", func(r *crop.Plant) { r.OriginID = &a1 }, "", ""},
		{"moved nowhere", func(r *crop.Plant) { r.Moves = []crop.Move{{PlaceID: nobody, On: *dayp("2026-02-01")}} }, "/moves/0/place_id", "there is no place"},
		{"moved on no day", func(r *crop.Plant) { r.Moves = []crop.Move{{PlaceID: auckland}} }, "/moves/0/on", "is missing"},
		{"moved in the future", func(r *crop.Plant) { r.Moves = []crop.Move{{PlaceID: auckland, On: *dayp("2026-07-01")}} }, "/moves/0/on", "in the future"},
		{"moved before sown", func(r *crop.Plant) { r.Moves = []crop.Move{{PlaceID: auckland, On: *dayp("2026-01-01")}} }, "/moves/0/on", "before the plant was sown"},
		{"moved after removed", func(r *crop.Plant) {
			r.RemovedOn, r.Moves = dayp("2026-02-01"), []crop.Move{{PlaceID: auckland, On: *dayp("2026-02-02")}}
		}, "/moves/0/on", "after the plant was removed"},
		{"moved twice on a day", func(r *crop.Plant) {
			r.Moves = []crop.Move{{PlaceID: auckland, On: *dayp("2026-02-02")}, {PlaceID: lisbon, On: *dayp("2026-02-02")}}
		}, "/moves/1/on", "is 2026-02-02, the day of another move"},
	})
	r := good()
	r.Label = "  B1 "
	r.Moves = []crop.Move{{PlaceID: lisbon, On: *dayp("2026-03-02")}, {PlaceID: auckland, On: *dayp("2026-02-02")}}
	if faults := crop.Check(&r, site(t), now); len(faults) > 0 || r.Label != "B1" || r.Moves[0].PlaceID != auckland {
		t.Errorf("got %+v, label %q, moves %v; want the label trimmed and the moves in order", faults, r.Label, r.Moves)
	}
}

func TestCheckTemperature(t *testing.T) {
	good := func() crop.Temperature {
		return crop.Temperature{ID: fresh, PlaceID: lisbon, MeasuredAt: time.Date(2026, 2, 1, 0, 0, 0, 1_500_000, time.UTC), AirC: new(21.5)}
	}
	checkRules(t, good, []rule[crop.Temperature]{
		{"no such place", func(r *crop.Temperature) { r.PlaceID = nobody }, "/place_id", "there is no place"},
		{"no time", func(r *crop.Temperature) { r.MeasuredAt = time.Time{} }, "/measured_at", "is missing"},
		{"in the future", func(r *crop.Temperature) { r.MeasuredAt = now.Add(time.Second) }, "/measured_at", "in the future"},
		{"no reading", func(r *crop.Temperature) { r.AirC = nil }, "/air_c", "is missing"},
		{"at absolute zero", func(r *crop.Temperature) { r.AirC = new(-273.15) }, "", ""},
		{"below it", func(r *crop.Temperature) { r.AirC = new(-273.16) }, "/air_c", "-273.15 to 1000 °C"},
		{"not a number", func(r *crop.Temperature) { r.AirC = new(math.NaN()) }, "/air_c", "-273.15 to 1000 °C"},
	})
	r := good()
	if crop.Check(&r, site(t), now); r.MeasuredAt.Nanosecond() != 1_000_000 {
		t.Errorf("kept %v, want the time cut to the millisecond", r.MeasuredAt)
	}
}

func TestCheckGermination(t *testing.T) {
	checkRules(t, func() crop.Germination {
		return crop.Germination{ID: fresh, SeasonID: season, CultivarID: plain, Lot: "L1", SownOn: dayp("2026-01-10"), Seeds: new(20),
			CountedOn: dayp("2026-01-17"), Emerged: new(20)}
	}, []rule[crop.Germination]{
		{"no such season", func(r *crop.Germination) { r.SeasonID = nobody }, "/season_id", "there is no season"},
		{"no such cultivar", func(r *crop.Germination) { r.CultivarID = nobody }, "/cultivar_id", "there is no cultivar"},
		{"no sowing day", func(r *crop.Germination) { r.SownOn = nil }, "/sown_on", "is missing"},
		{"no day of counting", func(r *crop.Germination) { r.CountedOn = nil }, "/counted_on", "is missing"},
		{"counted before sown", func(r *crop.Germination) { r.CountedOn = dayp("2026-01-09") }, "/counted_on", "before the seeds were sown"},
		{"counted in the future", func(r *crop.Germination) { r.CountedOn = dayp("2026-07-01") }, "/counted_on", "in the future"},
		{"counted on the day of sowing", func(r *crop.Germination) { r.CountedOn = r.SownOn }, "", ""},
		{"a lot on two lines", func(r *crop.Germination) { r.Lot = "a\nb" }, "/lot", "line break"},
		{"seeds unknown", func(r *crop.Germination) { r.Seeds = nil }, "/seeds", "is missing"},
		{"emerged unknown", func(r *crop.Germination) { r.Emerged = nil }, "/emerged", "is missing"},
		{"none emerged", func(r *crop.Germination) { r.Emerged = new(0) }, "", ""},
		{"fewer than none", func(r *crop.Germination) { r.Emerged = new(-1) }, "/emerged", "0 to 100000 seedlings"},
		{"more than sown", func(r *crop.Germination) { r.Emerged = new(21) }, "/emerged", "is 21, more than the seeds, 20"},
	})
	r := crop.Germination{ID: fresh, SeasonID: season, CultivarID: plain, SownOn: dayp("2026-06-03"), Seeds: new(20), CountedOn: dayp("2026-06-03"), Emerged: new(0)}
	faults := crop.Check(&r, site(t), now)
	if len(faults) != 2 || faults[0].Pointer != "/sown_on" || faults[1].Pointer != "/counted_on" || !strings.HasPrefix(faults[0].Detail, "is 2026-06-03, which is in the future") {
		t.Errorf("sown and counted in the future: got %+v, want both days refused", faults)
	}
}
