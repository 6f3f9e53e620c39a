package crop_test

import (
	"math"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

func TestCheckVisit(t *testing.T) {
	good := func() crop.Visit {
		return crop.Visit{ID: fresh, PlantID: a1, CountedAt: mom("2026-02-03T08:00:00Z"), Counts: map[string]int{"green": 4, "red": 0}}
	}
	checkRules(t, good, []rule[crop.Visit]{
		{"no plant", func(r *crop.Visit) { r.PlantID = crop.ID{} }, "/plant_id", "is missing; name the plant"},
		{"no such plant", func(r *crop.Visit) { r.PlantID = nobody }, "/plant_id", "there is no plant with this id"},
		{"no time", func(r *crop.Visit) { r.CountedAt = crop.Moment{} }, "/counted_at", "is missing"},
		{"before sowing", func(r *crop.Visit) { r.CountedAt = mom("2026-01-09") }, "/counted_at", "before the plant was sown, 2026-01-10"},
		{"on the day of sowing", func(r *crop.Visit) { r.CountedAt = mom("2026-01-10") }, "", ""},
		{"in the future", func(r *crop.Visit) { r.CountedAt = mom("2026-06-01T12:00:00.001Z") }, "/counted_at", "in the future"},
		{"now", func(r *crop.Visit) { r.CountedAt = mom("2026-06-01T12:00:00Z") }, "", ""},
		{"today, a day alone", func(r *crop.Visit) { r.CountedAt = mom("2026-06-01") }, "", ""},
		{"tomorrow in UTC, which has begun where the plant stands", func(r *crop.Visit) { r.CountedAt = mom("2026-06-02") }, "", ""},
		{"the day after", func(r *crop.Visit) { r.CountedAt = mom("2026-06-03") }, "/counted_at", "in the future"},
		{"nothing counted", func(r *crop.Visit) { r.Counts = nil }, "/counts", "names no stage; give at least one of green, breaker, turning, red, or total"},
		{"a total alone", func(r *crop.Visit) { r.Counts, r.Total = nil, new(12) }, "", ""},
		{"a stage of another scale", func(r *crop.Visit) { r.Counts["pink"] = 1 }, "/counts/pink", "not a stage of the plant's scale"},
		{"a stage name that needs escaping", func(r *crop.Visit) { r.Counts["a/b~c"] = 1 }, "/counts/a~1b~0c", "not a stage"},
		{"a negative count", func(r *crop.Visit) { r.Counts["red"] = -3 }, "/counts/red", "is -3; it must be 0 to 100000 fruit"},
		{"the most fruit", func(r *crop.Visit) { r.Counts["red"] = crop.MaxFruit }, "", ""},
		{"too many", func(r *crop.Visit) { r.Counts["red"] = crop.MaxFruit + 1 }, "/counts/red", "is 100001"},
		{"total below the stages", func(r *crop.Visit) { r.Total = new(3) }, "/total", "is 3, but the stages add up to 4"},
		{"total above some stages", func(r *crop.Visit) { r.Total = new(9) }, "", ""},
		{"total beside all stages", func(r *crop.Visit) { r.Counts["breaker"], r.Counts["turning"], r.Total = 1, 1, new(7) }, "/total", "is 7, but the stages add up to 6"},
		{"total above all stages of a count given up", func(r *crop.Visit) {
			r.Counts["breaker"], r.Counts["turning"], r.Total, r.AtLeast = 1, 1, new(60), true
		}, "", ""},
		{"total below the stages of a count given up", func(r *crop.Visit) { r.Total, r.AtLeast = new(3), true }, "/total", "is 3, but the stages add up to 4"},
		{"total above all stages at a glance", func(r *crop.Visit) { r.Counts["breaker"], r.Counts["turning"], r.Total, r.About = 1, 1, new(7), true }, "/total", "add up to 6"},
		{"a negative total", func(r *crop.Visit) { r.Counts, r.Total = nil, new(-1) }, "/total", "-1"},
		{"more trusses than there are", func(r *crop.Visit) { r.TrussesCounted, r.TrussesTotal = new(6), new(5) }, "/trusses_counted", "is 6, more than trusses_total, 5"},
		{"a negative number of trusses counted", func(r *crop.Visit) { r.TrussesCounted = new(-1) }, "/trusses_counted", "is -1; it must be 0 to 1000 trusses"},
		{"all trusses", func(r *crop.Visit) { r.TrussesCounted, r.TrussesTotal = new(5), new(5) }, "", ""},
		{"a truss and several", func(r *crop.Visit) { r.Truss, r.TrussesCounted = new(1), new(2) }, "/truss", "leave one of them out"},
		{"truss nought", func(r *crop.Visit) { r.Truss = new(0) }, "/truss", "1 to 1000 counted from the base"},
		{"a negative number of trusses", func(r *crop.Visit) { r.TrussesTotal = new(-1) }, "/trusses_total", "0 to 1000"},
		{"the observer on two lines", func(r *crop.Visit) { r.Observer = "a\nb" }, "/observer", "line break"},
		{"a note too long", func(r *crop.Visit) { r.Note = strings.Repeat("x", 4001) }, "/note", "4001"},
	})
	r := good()
	r.PlantID, r.Counts = a2, map[string]int{"red": 1}
	if faults := crop.Check(&r, site(t), now); len(faults) != 1 || !strings.Contains(faults[0].Detail, "green, orange") {
		t.Errorf("red on an orange cultivar: got %+v, want the plant's own stages named", faults)
	}
	r = good()
	r.CountedAt = mom("2026-03-05T23:00:00Z")
	if faults := crop.Check(&r, site(t), now); len(faults) > 0 || r.CountedAt.String() != "2026-03-06T12:00:00+13:00" {
		t.Errorf("after the move: %+v, %s; want the clock of the new place", faults, r.CountedAt)
	}
}

func TestCheckPicking(t *testing.T) {
	good := func() crop.Picking {
		return crop.Picking{ID: fresh, PlantID: &a1, PickedAt: mom("2026-02-03T08:00:00Z"), Stage: "red", Fruits: new(4), MassG: new(61.5), Grade: crop.Cull}
	}
	checkRules(t, good, []rule[crop.Picking]{
		{"no such plant", func(r *crop.Picking) { r.PlantID = &nobody }, "/plant_id", "there is no plant with this id"},
		{"neither plant nor unit", func(r *crop.Picking) { r.PlantID = nil }, "/plant_id", "season_id, place_id and cultivar_id where it isn't known"},
		{"half a unit", func(r *crop.Picking) { r.PlantID, r.PlaceID = nil, &lisbon }, "/plant_id", "is missing"},
		{"plant and unit", func(r *crop.Picking) { r.PlaceID = &lisbon }, "/plant_id", "together with season_id, place_id or cultivar_id"},
		{"a unit", func(r *crop.Picking) {
			r.PlantID, r.Unit = nil, crop.Unit{SeasonID: &season, PlaceID: &lisbon, CultivarID: &plain}
		}, "", ""},
		{"a unit of no season", func(r *crop.Picking) {
			r.PlantID, r.Unit = nil, crop.Unit{SeasonID: &nobody, PlaceID: &lisbon, CultivarID: &plain}
		}, "/season_id", "there is no season"},
		{"a unit of no place", func(r *crop.Picking) {
			r.PlantID, r.Unit = nil, crop.Unit{SeasonID: &season, PlaceID: &nobody, CultivarID: &plain}
		}, "/place_id", "there is no place"},
		{"a unit of no cultivar", func(r *crop.Picking) {
			r.PlantID, r.Unit = nil, crop.Unit{SeasonID: &season, PlaceID: &lisbon, CultivarID: &nobody}
		}, "/cultivar_id", "there is no cultivar"},
		{"no time", func(r *crop.Picking) { r.PickedAt = crop.Moment{} }, "/picked_at", "is missing"},
		{"before sowing", func(r *crop.Picking) { r.PickedAt = mom("2025-12-31") }, "/picked_at", "before the plant was sown"},
		{"in the future", func(r *crop.Picking) { r.PickedAt = mom("2026-06-03") }, "/picked_at", "in the future"},
		{"a stage of another scale", func(r *crop.Picking) { r.Stage = "pink" }, "/stage", "green, breaker, turning, red"},
		{"no such grade", func(r *crop.Picking) { r.Grade = "fancy" }, "/grade", "marketable or cull"},
		{"weighed only", func(r *crop.Picking) { r.Fruits = nil }, "", ""},
		{"neither counted nor weighed", func(r *crop.Picking) { r.Fruits, r.MassG = nil, nil }, "/fruits", "or mass_g"},
		{"a negative number", func(r *crop.Picking) { r.Fruits = new(-1) }, "/fruits", "is -1"},
		{"a mass of no fruit", func(r *crop.Picking) { r.Fruits = new(0) }, "/mass_g", "is 61.5, but fruits is 0"},
		{"no fruit of no mass", func(r *crop.Picking) { r.Fruits, r.MassG = new(0), new(0.0) }, "", ""},
		{"a negative mass", func(r *crop.Picking) { r.MassG = new(-0.5) }, "/mass_g", "is -0.5"},
		{"a mass that is not a number", func(r *crop.Picking) { r.MassG = new(math.NaN()) }, "/mass_g", "grams"},
		{"too sweet", func(r *crop.Picking) { r.Brix = new(41.0) }, "/brix", "0 to 40 °Brix"},
		{"taste nought", func(r *crop.Picking) { r.Taste = new(0) }, "/taste", "1 to 9 points"},
		{"taste ten", func(r *crop.Picking) { r.Taste = new(10) }, "/taste", "1 to 9 points"},
		{"a weighing on two lines", func(r *crop.Picking) { r.Weighing = "a\nb" }, "/weighing", "line break"},
		{"a note too long", func(r *crop.Picking) { r.Note = strings.Repeat("x", 4001) }, "/note", "4001"},
	})
	r := good()
	r.PlantID, r.Stage, r.Grade = &a2, "", ""
	if faults := crop.Check(&r, site(t), now); len(faults) > 0 || r.Stage != "orange" || r.Grade != crop.Marketable {
		t.Errorf("left out: %+v, stage %q, grade %q; want the cultivar's ripe stage, marketable", faults, r.Stage, r.Grade)
	}
}

func TestCheckLoss(t *testing.T) {
	good := func() crop.Loss {
		return crop.Loss{ID: fresh, PlantID: &a1, LostAt: mom("2026-02-03"), Stage: "red", Fruits: new(1), Cause: crop.Split}
	}
	checkRules(t, good, []rule[crop.Loss]{
		{"no such plant", func(r *crop.Loss) { r.PlantID = &nobody }, "/plant_id", "there is no plant with this id"},
		{"a unit", func(r *crop.Loss) {
			r.PlantID, r.Unit = nil, crop.Unit{SeasonID: &season, PlaceID: &lisbon, CultivarID: &plain}
		}, "", ""},
		{"no time", func(r *crop.Loss) { r.LostAt = crop.Moment{} }, "/lost_at", "is missing"},
		{"in the future", func(r *crop.Loss) { r.LostAt = mom("2026-06-03") }, "/lost_at", "in the future"},
		{"no stage", func(r *crop.Loss) { r.Stage = "" }, "/stage", "give the stage the fruit had reached"},
		{"a stage of another scale", func(r *crop.Loss) { r.Stage = "pink" }, "/stage", "not a stage"},
		{"no cause", func(r *crop.Loss) { r.Cause = "" }, "/cause", "dropped, split, dried, rotted, pest, disease, thinned, cleared, other"},
		{"no number", func(r *crop.Loss) { r.Fruits = nil }, "/fruits", "give the number of fruit"},
		{"a negative number", func(r *crop.Loss) { r.Fruits = new(-2) }, "/fruits", "is -2"},
		{"a note too long", func(r *crop.Loss) { r.Note = strings.Repeat("x", 4001) }, "/note", "4001"},
	})
	for _, cause := range crop.Causes() {
		if got, want := cause.Found(), cause != "thinned" && cause != "cleared"; got != want {
			t.Errorf("%s: found at a visit %v, want %v", cause, got, want)
		}
	}
}

func TestCheckDiary(t *testing.T) {
	checkRules(t, func() crop.DiaryEntry {
		return crop.DiaryEntry{ID: fresh, SeasonID: season, PlantID: &a1, NotedAt: mom("2026-02-03"), Kind: "solution measured", ECDsM: new(2.4), PH: new(6.1), SolutionC: new(21.0)}
	}, []rule[crop.DiaryEntry]{
		{"no such season", func(r *crop.DiaryEntry) { r.SeasonID, r.PlantID = nobody, nil }, "/season_id", "there is no season"},
		{"no such plant", func(r *crop.DiaryEntry) { r.PlantID = &nobody }, "/plant_id", "there is no plant with this id"},
		{"a plant of another season", func(r *crop.DiaryEntry) { r.PlantID = &elsewhere }, "/plant_id", "belongs to another season"},
		{"a plant, and no season", func(r *crop.DiaryEntry) { r.SeasonID, r.PlantID = crop.ID{}, &elsewhere }, "/season_id", "is missing; name the season"},
		{"of the whole season", func(r *crop.DiaryEntry) { r.PlantID = nil }, "", ""},
		{"no time", func(r *crop.DiaryEntry) { r.NotedAt = crop.Moment{} }, "/noted_at", "is missing"},
		{"in the future", func(r *crop.DiaryEntry) { r.NotedAt = mom("2026-06-03") }, "/noted_at", "in the future"},
		{"no such kind", func(r *crop.DiaryEntry) { r.Kind = "sang to it" }, "/kind", "first flower"},
		{"too strong a solution", func(r *crop.DiaryEntry) { r.ECDsM = new(50.1) }, "/ec_ds_m", "0 to 50 dS/m"},
		{"beyond the pH scale", func(r *crop.DiaryEntry) { r.PH = new(14.1) }, "/ph", "0 to 14 pH"},
		{"a boiling solution", func(r *crop.DiaryEntry) { r.SolutionC = new(100.0) }, "/solution_c", "-10 to 80 °C"},
		{"pick not before, of another kind", func(r *crop.DiaryEntry) { r.PickNotBefore = dayp("2026-02-10") }, "/pick_not_before", "treated only"},
		{"pick not before", func(r *crop.DiaryEntry) { r.Kind, r.PickNotBefore = "treated", dayp("2026-02-10") }, "", ""},
		{"pick not before, on the day", func(r *crop.DiaryEntry) { r.Kind, r.PickNotBefore = "treated", dayp("2026-02-03") }, "", ""},
		{"pick not before the day of treatment", func(r *crop.DiaryEntry) { r.Kind, r.PickNotBefore = "treated", dayp("2026-02-02") }, "/pick_not_before", "before the day of the treatment, 2026-02-03"},
		{"pick not before, by the clock of the place", func(r *crop.DiaryEntry) {
			r.Kind, r.PickNotBefore, r.NotedAt = "treated", dayp("2026-03-05"), mom("2026-03-05T11:00:00Z")
		}, "/pick_not_before", "2026-03-06"},
		{"a note too long", func(r *crop.DiaryEntry) { r.Note = strings.Repeat("x", 4001) }, "/note", "4001"},
	})
}
