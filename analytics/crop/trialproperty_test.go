package crop_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vinetally/analytics/crop"
)

// anyTrial draws a small season: up to four plants of two cultivars at two places, some moved, sown later or removed, and up to
// a dozen of each kind of record, in no order, some of units, some of days alone. It is not arranged.
func anyTrial(t *rapid.T) *crop.Trial {
	k := site(t)
	first := crop.Date{Year: 2026, Month: time.February, Day: 1}
	dayOf := func(label string) crop.Date { return first.AddDays(rapid.IntRange(0, 5).Draw(t, label)) }
	trial := &crop.Trial{
		Season: *k.seasons[season], Places: []crop.Place{*k.places[lisbon], *k.places[auckland]},
		Scales:    []crop.Scale{*k.scales[crop.DefaultScaleID], *k.scales[orangeScale]},
		Cultivars: []crop.Cultivar{*k.cultivars[plain], *k.cultivars[orange]},
	}
	n := rapid.IntRange(1, 4).Draw(t, "plants")
	for i := range n {
		p := crop.Plant{
			ID: crop.ID{6, byte(i)}, SeasonID: season, Label: fmt.Sprintf("P%d", i), SownOn: new(dayOf("sown")),
			PlaceID:    rapid.SampledFrom([]crop.ID{lisbon, auckland}).Draw(t, "place"),
			CultivarID: rapid.SampledFrom([]crop.ID{plain, orange}).Draw(t, "cultivar"),
		}
		if rapid.Bool().Draw(t, "moved") {
			p.Moves = []crop.Move{{PlaceID: rapid.SampledFrom([]crop.ID{lisbon, auckland}).Draw(t, "to"), On: dayOf("moved")}}
		}
		if rapid.Bool().Draw(t, "removed") {
			p.RemovedOn = new(dayOf("removed"))
		}
		trial.Plants = append(trial.Plants, p)
	}
	serial := byte(0)
	next := func() crop.ID { serial++; return id(serial) }
	when := func() crop.Moment {
		if rapid.Bool().Draw(t, "day alone") {
			return crop.DayMoment(dayOf("day"), time.UTC)
		}
		return crop.InstantMoment(first.Start(time.UTC).Add(time.Duration(rapid.IntRange(0, 5*24).Draw(t, "hour")) * time.Hour))
	}
	plant := func() crop.ID { return crop.ID{6, byte(rapid.IntRange(0, n-1).Draw(t, "plant"))} }
	source := func() (*crop.ID, crop.Unit) {
		if rapid.Bool().Draw(t, "of a unit") {
			return nil, crop.Unit{
				SeasonID: &season, PlaceID: new(rapid.SampledFrom([]crop.ID{lisbon, auckland}).Draw(t, "unit place")),
				CultivarID: new(rapid.SampledFrom([]crop.ID{plain, orange}).Draw(t, "unit cultivar")),
			}
		}
		return new(plant()), crop.Unit{}
	}
	for range rapid.IntRange(0, 12).Draw(t, "visits") {
		trial.Visits = append(trial.Visits, crop.Visit{ID: next(), PlantID: plant(), CountedAt: when()})
	}
	for range rapid.IntRange(0, 12).Draw(t, "pickings") {
		p := crop.Picking{ID: next(), PickedAt: when()}
		p.PlantID, p.Unit = source()
		trial.Pickings = append(trial.Pickings, p)
	}
	for range rapid.IntRange(0, 12).Draw(t, "losses") {
		l := crop.Loss{ID: next(), LostAt: when()}
		l.PlantID, l.Unit = source()
		trial.Losses = append(trial.Losses, l)
	}
	for range rapid.IntRange(0, 4).Draw(t, "diary") {
		d := crop.DiaryEntry{ID: next(), SeasonID: season, NotedAt: when()}
		if rapid.Bool().Draw(t, "of a plant") {
			d.PlantID = new(plant())
		}
		trial.Diary = append(trial.Diary, d)
	}
	for range rapid.IntRange(0, 4).Draw(t, "germination") {
		trial.Germination = append(trial.Germination, crop.Germination{ID: next(), CountedOn: new(dayOf("counted"))})
	}
	return trial
}

// shown lists everything in a trial with its moment, to compare trials.
func shown(t *crop.Trial) string {
	var b strings.Builder
	for i := range t.Plants {
		fmt.Fprintln(&b, t.Plants[i].Label, t.Plants[i].SownOn, t.Plants[i].TransplantedOn, t.Plants[i].Moves, t.Plants[i].RemovedOn)
	}
	for i := range t.Visits {
		fmt.Fprintln(&b, "visit", t.Visits[i].ID, t.Visits[i].CountedAt, t.Visits[i].CountedAt.At)
	}
	for i := range t.Pickings {
		fmt.Fprintln(&b, "picking", t.Pickings[i].ID, t.Pickings[i].PickedAt, t.Pickings[i].PickedAt.At)
	}
	for i := range t.Losses {
		fmt.Fprintln(&b, "loss", t.Losses[i].ID, t.Losses[i].LostAt, t.Losses[i].LostAt.At)
	}
	for i := range t.Diary {
		fmt.Fprintln(&b, "diary", t.Diary[i].ID, t.Diary[i].NotedAt, t.Diary[i].NotedAt.At)
	}
	for i := range t.Germination {
		fmt.Fprintln(&b, "germination", t.Germination[i].ID, t.Germination[i].CountedOn)
	}
	return b.String()
}

// TestArrangeAnyOrder: what a trial is doesn't depend on the order in which it was filled, and arranging it twice changes
// nothing.
func TestArrangeAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trial := anyTrial(t)
		twin := *trial
		twin.Plants, twin.Visits, twin.Pickings = slices.Clone(trial.Plants), slices.Clone(trial.Visits), slices.Clone(trial.Pickings)
		twin.Losses, twin.Diary, twin.Germination = slices.Clone(trial.Losses), slices.Clone(trial.Diary), slices.Clone(trial.Germination)
		slices.Reverse(twin.Plants)
		slices.Reverse(twin.Visits)
		slices.Reverse(twin.Pickings)
		slices.Reverse(twin.Losses)
		slices.Reverse(twin.Diary)
		slices.Reverse(twin.Germination)
		trial.Arrange()
		twin.Arrange()
		want := shown(trial)
		if got := shown(&twin); got != want {
			t.Errorf("filled backwards:\n%s\nwant\n%s", got, want)
		}
		if trial.Arrange(); shown(trial) != want {
			t.Errorf("arranged again:\n%s\nwant\n%s", shown(trial), want)
		}
	})
}

// TestAsOfLooksBack: looking back to an earlier moment from a later one shows the same as looking back at once; the last
// record's moment shows all counts, pickings, losses; nothing is shown before it was.
func TestAsOfLooksBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trial := anyTrial(t)
		trial.Arrange()
		start := time.Date(2026, 1, 31, 0, 0, 0, 0, time.UTC)
		a := start.Add(time.Duration(rapid.IntRange(0, 8*24).Draw(t, "a")) * time.Hour)
		b := a.Add(time.Duration(rapid.IntRange(0, 8*24).Draw(t, "later")) * time.Hour)
		all := shown(trial)
		if got, want := shown(trial.AsOf(b).AsOf(a)), shown(trial.AsOf(a)); got != want {
			t.Errorf("as of %s, then %s:\n%s\nwant\n%s", b, a, got, want)
		}
		if got, want := shown(trial.AsOf(a.In(time.FixedZone("", 13*3600)))), shown(trial.AsOf(a)); got != want {
			t.Errorf("as of %s depends on the zone it is told in:\n%s\nwant\n%s", a, got, want)
		}
		for _, v := range trial.AsOf(a).Visits {
			if v.CountedAt.TimeKnown() && v.CountedAt.At.After(a) || v.CountedAt.LocalDate().After(crop.DateOf(a.In(v.CountedAt.At.Location()))) {
				t.Errorf("as of %s shows the count of %s", a, v.CountedAt)
			}
		}
		if last := trial.LastRecord(); !last.IsZero() {
			u := trial.AsOf(last)
			if len(u.Visits) != len(trial.Visits) || len(u.Pickings) != len(trial.Pickings) || len(u.Losses) != len(trial.Losses) || len(u.Diary) != len(trial.Diary) {
				t.Errorf("as of the last record, %s, leaves some out:\n%s\nwant all of\n%s", last, shown(u), all)
			}
		}
		if shown(trial) != all {
			t.Errorf("looking back changed the trial")
		}
	})
}

// TestAsOfKeepsUnitsWhereTheyWere: what came from a unit within as-of is of the same plants, whatever was sown or moved later.
func TestAsOfKeepsUnitsWhereTheyWere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trial := anyTrial(t)
		for i := range trial.Plants {
			trial.Plants[i].RemovedOn = nil
		}
		trial.Arrange()
		of := func(t *crop.Trial) map[crop.ID]string {
			plants := map[crop.ID]string{}
			for _, r := range t.ByPlant() {
				for i := range r.Pickings {
					plants[r.Pickings[i].ID] += "surely " + r.Plant.Label
				}
				for i := range r.UnitPickings {
					plants[r.UnitPickings[i].ID] += "perhaps " + r.Plant.Label
				}
			}
			return plants
		}
		all := of(trial)
		u := trial.AsOf(time.Date(2026, 1, 31, rapid.IntRange(0, 8*24).Draw(t, "as of"), 0, 0, 0, time.UTC))
		got := of(u)
		for _, p := range u.Pickings {
			if p.PlantID == nil && got[p.ID] != all[p.ID] {
				t.Errorf("the picking of %s is of %q, looking back of %q", p.PickedAt, all[p.ID], got[p.ID])
			}
		}
	})
}

// TestByPlantGivesEveryRecord: every record of a plant goes to it once and stays in order; a record of a unit goes to one
// plant surely or to two or more perhaps, and just to those that stood there then, found here day by day.
func TestByPlantGivesEveryRecord(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trial := anyTrial(t)
		trial.Arrange()
		got := map[crop.ID]string{}
		for _, r := range trial.ByPlant() {
			for i := range r.Visits {
				got[r.Visits[i].ID] += "s" + r.Plant.Label
			}
			if !slices.IsSortedFunc(r.Pickings, func(a, b crop.Picking) int { return a.PickedAt.At.Compare(b.PickedAt.At) }) {
				t.Errorf("the pickings of %s are not in order", r.Plant.Label)
			}
			for i := range r.Pickings {
				got[r.Pickings[i].ID] += "s" + r.Plant.Label
			}
			for i := range r.UnitPickings {
				got[r.UnitPickings[i].ID] += "u" + r.Plant.Label
			}
			for i := range r.Losses {
				got[r.Losses[i].ID] += "s" + r.Plant.Label
			}
			for i := range r.UnitLosses {
				got[r.UnitLosses[i].ID] += "u" + r.Plant.Label
			}
		}
		want := func(plant *crop.ID, u crop.Unit, day crop.Date) string {
			var stood []string
			for i := range trial.Plants {
				p := &trial.Plants[i]
				if plant != nil {
					if p.ID == *plant {
						return "s" + p.Label
					}
					continue
				}
				there := p.PlaceID
				for d := (crop.Date{Year: 2026, Month: time.January, Day: 1}); !d.After(day); d = d.AddDays(1) {
					for _, m := range p.Moves {
						if m.On == d {
							there = m.PlaceID
						}
					}
				}
				stands := day.DaysSince(*p.SownOn) >= 0 && (p.RemovedOn == nil || p.RemovedOn.DaysSince(day) >= 0)
				if stands && there == *u.PlaceID && p.CultivarID == *u.CultivarID {
					stood = append(stood, p.Label)
				}
			}
			if len(stood) == 1 {
				return "s" + stood[0]
			}
			var all string
			for _, label := range stood {
				all += "u" + label
			}
			return all
		}
		for _, v := range trial.Visits {
			if w := want(&v.PlantID, crop.Unit{}, crop.Date{}); got[v.ID] != w {
				t.Errorf("count %s went to %q, want %q", v.ID, got[v.ID], w)
			}
		}
		for _, p := range trial.Pickings {
			if w := want(p.PlantID, p.Unit, p.PickedAt.LocalDate()); got[p.ID] != w {
				t.Errorf("picking of %s went to %q, want %q", p.PickedAt, got[p.ID], w)
			}
		}
		for _, l := range trial.Losses {
			if w := want(l.PlantID, l.Unit, l.LostAt.LocalDate()); got[l.ID] != w {
				t.Errorf("loss of %s went to %q, want %q", l.LostAt, got[l.ID], w)
			}
		}
	})
}

// TestOnly: a plant's own trial has its records and no others, and is what ByPlant gives of it but for the units.
func TestOnly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trial := anyTrial(t)
		trial.Arrange()
		all := shown(trial)
		plant := trial.Plants[rapid.IntRange(0, len(trial.Plants)-1).Draw(t, "which")].ID
		only := trial.Only(plant)
		by := only.ByPlant()
		if len(by) != 1 || by[0].Plant.ID != plant || len(by[0].UnitPickings)+len(by[0].UnitLosses) > 0 {
			t.Fatalf("got %+v, want the one plant and nothing of units", by)
		}
		visits, pickings, losses := 0, 0, 0
		for i := range trial.Visits {
			visits += count(trial.Visits[i].PlantID == plant)
		}
		for i := range trial.Pickings {
			pickings += count(trial.Pickings[i].PlantID != nil && *trial.Pickings[i].PlantID == plant)
		}
		for i := range trial.Losses {
			losses += count(trial.Losses[i].PlantID != nil && *trial.Losses[i].PlantID == plant)
		}
		got := []int{len(by[0].Visits), len(by[0].Pickings), len(by[0].Losses)}
		if want := []int{visits, pickings, losses}; !slices.Equal(got, want) {
			t.Errorf("visits, pickings, losses: got %v, want %v", got, want)
		}
		if shown(trial) != all {
			t.Errorf("narrowing changed the trial")
		}
	})
}

func count(yes bool) int {
	if yes {
		return 1
	}
	return 0
}
