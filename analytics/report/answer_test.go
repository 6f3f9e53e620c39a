package report_test

import (
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
)

var noon = time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)

// bed is a season of one cultivar on a window sill, with as many plants as labels.
func bed(labels ...string) *crop.Trial {
	sown := crop.Date{Year: 2026, Month: time.March, Day: 1}
	t := &crop.Trial{Season: crop.Season{ID: crop.ID{1}, Name: "Spring"}, Scales: []crop.Scale{crop.DefaultScale()},
		Places: []crop.Place{{ID: crop.ID{2}, Name: "Sill"}}, Cultivars: []crop.Cultivar{{ID: crop.ID{3}, Name: "Pip"}}}
	for i, label := range labels {
		t.Plants = append(t.Plants, crop.Plant{ID: crop.ID{4, byte(i)}, SeasonID: crop.ID{1}, PlaceID: crop.ID{2}, CultivarID: crop.ID{3}, Label: label, SownOn: &sown})
	}
	return t
}

// counted adds a count of plant i on a day of May: green, breaker, turning, red; a negative number was not counted.
func counted(t *crop.Trial, i, day int, numbers ...int) *crop.Visit {
	counts := map[string]int{}
	for s, n := range numbers {
		if n >= 0 {
			counts[crop.DefaultScale().Stages[s].Name] = n
		}
	}
	t.Visits = append(t.Visits, crop.Visit{ID: crop.ID{8, byte(len(t.Visits))}, PlantID: crop.ID{4, byte(i)}, CountedAt: crop.InstantMoment(noon.AddDate(0, 0, day-1)), Counts: counts})
	return &t.Visits[len(t.Visits)-1]
}

func picked(t *crop.Trial, i, day, fruits int, grams float64) *crop.Picking {
	p := crop.Picking{ID: crop.ID{9, byte(len(t.Pickings))}, PlantID: &crop.ID{4, byte(i)}, PickedAt: crop.InstantMoment(noon.AddDate(0, 0, day-1)), Stage: "red", Grade: crop.Marketable}
	if fruits > 0 {
		p.Fruits = &fruits
	}
	if grams > 0 {
		p.MassG = &grams
	}
	t.Pickings = append(t.Pickings, p)
	return &t.Pickings[len(t.Pickings)-1]
}

// fromUnit makes a picking one of the whole sill.
func fromUnit(p *crop.Picking) {
	p.PlantID, p.Unit = nil, crop.Unit{SeasonID: &crop.ID{1}, PlaceID: &crop.ID{2}, CultivarID: &crop.ID{3}}
}

func lost(t *crop.Trial, i, day, fruits int, stage string, cause crop.Cause) {
	t.Losses = append(t.Losses, crop.Loss{ID: crop.ID{10, byte(len(t.Losses))}, PlantID: &crop.ID{4, byte(i)}, LostAt: crop.InstantMoment(noon.AddDate(0, 0, day-1)), Stage: stage, Fruits: &fruits, Cause: cause})
}

// TestAnswer reads the whole answer in words, but for the ripening curve, for which these seasons hold too little.
func TestAnswer(t *testing.T) {
	const noCurve = "When half of the fruit"
	for name, c := range map[string]struct {
		fill func() *crop.Trial
		o    report.Options
		want []string
	}{
		"no plants": {func() *crop.Trial { return bed() }, report.Options{}, []string{"Nothing has been counted or picked yet. Record a count of one plant to begin."}},
		"hold time asked of no plants, picked from the unit": {func() *crop.Trial { t := bed(); fromUnit(picked(t, 0, 3, 5, 60)); return t }, report.Options{HoldDays: new(3.0)}, []string{
			"No plant has been counted yet, so what stands isn't known.", "5 fruit have been picked, 60 g in all.", "No losses have been recorded."}},
		"everything after the moment": {func() *crop.Trial { t := bed("A1"); counted(t, 0, 9, 3, 0, 0, 0); return t }, report.Options{AsOf: noon}, []string{
			"Nothing has been counted or picked yet. Record a count of one plant to begin."}},
		"all zeros": {func() *crop.Trial {
			t := bed("A1", "A2")
			counted(t, 0, 1, 0, 0, 0, 0)
			counted(t, 1, 1, 0, 0, 0, 0)
			return t
		}, report.Options{}, []string{
			"No fruit stands on either plant.", "Nothing has been picked yet.", "No losses have been recorded.",
			"No fruit is certain to have hung ripe for longer than 7 days."}},
		"one fruit of everything": {func() *crop.Trial {
			t := bed("A1")
			counted(t, 0, 1, 0, 0, 0, 3)
			picked(t, 0, 1, 1, 0).Grade = crop.Cull
			lost(t, 0, 20, 1, "red", crop.Pest)
			counted(t, 0, 20, 0, 0, 0, 1)
			return t
		}, report.Options{}, []string{
			"1 fruit stands on the plant and is ripe.", "At least 1 fruit has hung ripe for longer than 7 days, on A1, if the records are complete.",
			"1 fruit has been picked; it was not weighed; 1 was a cull.", "1 fruit was lost: to pests."}},
		"ripe on some plants": {func() *crop.Trial {
			t := bed("A1", "A2", "A3")
			counted(t, 0, 1, 4, 1, 0, 2)
			counted(t, 1, 1, 0, 0, 0, 0)
			return t
		}, report.Options{}, []string{
			"7 fruit stand on 1 plant, 2 of them ripe; 2 of the 3 plants have been counted.", "Nothing has been picked yet.", "No losses have been recorded.",
			"No fruit is certain to have hung ripe for longer than 7 days."}},
		"all ripe, two hold times": {func() *crop.Trial {
			t := bed("A1", "A2")
			t.Cultivars = append(t.Cultivars, crop.Cultivar{ID: crop.ID{5}, Name: "Stone", HoldDays: new(3.0)})
			t.Plants[1].CultivarID = crop.ID{5}
			for _, day := range []int{1, 20} {
				counted(t, 0, day, 0, 0, 0, 4)
				counted(t, 1, day, 0, 0, 0, 5)
			}
			return t
		}, report.Options{}, []string{
			"9 fruit stand on both plants, all of them ripe.",
			"At least 9 fruit have hung past their hold time, on A2 (5) and A1 (4), if the records are complete.",
			"Nothing has been picked yet.", "No losses have been recorded."}},
		"the same, one hold time asked": {func() *crop.Trial {
			t := bed("A1")
			counted(t, 0, 1, 0, 0, 0, 4)
			counted(t, 0, 20, 0, 0, 0, 4)
			return t
		}, report.Options{HoldDays: new(19.5)}, []string{
			"4 fruit stand on the plant, all of them ripe.", "Nothing has been picked yet.", "No losses have been recorded.",
			"No fruit is certain to have hung ripe for longer than 19.5 days."}},
		"none ripe": {func() *crop.Trial { t := bed("A1"); counted(t, 0, 1, 6, 1, 0, 0); return t }, report.Options{}, []string{
			"7 fruit stand on the plant, none of them ripe.", "Nothing has been picked yet.", "No losses have been recorded.", "No fruit is certain to have hung ripe for longer than 7 days."}},
		"red not counted": {func() *crop.Trial { t := bed("A1"); counted(t, 0, 1, 6, 1, 0, -1); return t }, report.Options{}, []string{
			"At least 7 fruit stand on the plant; how many of them are ripe isn't known.", "Nothing has been picked yet.", "No losses have been recorded.",
			"No fruit is certain to have hung ripe for longer than 7 days."}},
		"a count given up": {func() *crop.Trial { t := bed("A1"); counted(t, 0, 1, 40, 1, 0, 3).AtLeast = true; return t }, report.Options{}, []string{
			"At least 44 fruit stand on the plant, at least 3 of them ripe.", "Nothing has been picked yet.", "No losses have been recorded.",
			"No fruit is certain to have hung ripe for longer than 7 days."}},
		"picked and weighed in part": {func() *crop.Trial { t := bed("A1"); picked(t, 0, 1, 4, 40); picked(t, 0, 2, 3, 0); return t }, report.Options{}, []string{
			"No plant has been counted yet, so what stands isn't known.", "7 fruit have been picked; the 4 weighed come to 40 g.", "No losses have been recorded."}},
		"weighed without counting": {func() *crop.Trial { t := bed("A1"); picked(t, 0, 1, 0, 1250); return t }, report.Options{}, []string{
			"No plant has been counted yet, so what stands isn't known.", "1.25 kg have been picked; 1 picking was weighed without counting the fruit.", "No losses have been recorded."}},
		"weighed with and without counting": {func() *crop.Trial { t := bed("A1"); picked(t, 0, 1, 0, 125); picked(t, 0, 2, 2, 25); return t }, report.Options{}, []string{
			"No plant has been counted yet, so what stands isn't known.", "2 fruit have been picked, 150 g weighed; 1 picking was weighed without counting the fruit.", "No losses have been recorded."}},
		"only lost": {func() *crop.Trial {
			t := bed("A1")
			lost(t, 0, 1, 2, "green", crop.OtherWay)
			lost(t, 0, 1, 3, "red", crop.Disease)
			lost(t, 0, 1, 1, "red", crop.Split)
			return t
		}, report.Options{}, []string{
			"No plant has been counted yet, so what stands isn't known.", "Nothing has been picked yet.", "6 fruit were lost: 1 split, 3 to disease and 2 to other causes."}},
		"lost by one cause": {func() *crop.Trial { t := bed("A1"); lost(t, 0, 1, 4, "red", crop.Dropped); return t }, report.Options{}, []string{
			"No plant has been counted yet, so what stands isn't known.", "Nothing has been picked yet.", "4 fruit were lost, all of them dropped."}},
		"only cleared": {func() *crop.Trial { t := bed("A1"); lost(t, 0, 1, 2, "green", crop.Cleared); return t }, report.Options{}, []string{
			"No plant has been counted yet, so what stands isn't known.", "Nothing has been picked yet.", "No fruit was lost; 2 were cleared with their plant."}},
		"left when removed": {func() *crop.Trial {
			t := bed("A1", "A2", "A3")
			for i := range t.Plants {
				t.Plants[i].RemovedOn = &crop.Date{Year: 2026, Month: time.May, Day: 10}
				counted(t, i, 8, 1, 0, 0, i)
			}
			lost(t, 0, 10, 1, "green", crop.Cleared)
			return t
		}, report.Options{}, []string{
			"No fruit stands on any of the 3 plants.", "Nothing has been picked yet.", "No fruit was lost; 1 was cleared with its plant.",
			"5 fruit were left on A2 (2) and A3 (3) when they were removed, and are recorded neither as picked nor as lost: record them as picked, or as cleared.",
			"No fruit is certain to have hung ripe for longer than 7 days."}},
		"one left when removed": {func() *crop.Trial {
			t := bed("A1", "A2")
			t.Plants[0].RemovedOn = &crop.Date{Year: 2026, Month: time.May, Day: 10}
			counted(t, 0, 8, 1, 0, 0, 0)
			counted(t, 1, 12, 1, 0, 0, 0)
			return t
		}, report.Options{}, []string{
			"1 fruit stands on 1 of the 2 plants and is not ripe yet.", "Nothing has been picked yet.", "No losses have been recorded.",
			"1 fruit was left on A1 when it was removed, and is recorded neither as picked nor as lost: record it as picked, or as cleared.",
			"No fruit is certain to have hung ripe for longer than 7 days."}},
		"a count of a part that found none": {func() *crop.Trial {
			t := bed("A1", "A2")
			counted(t, 0, 8, 0, 0, 0, 0).AtLeast = true
			counted(t, 1, 8, 0, 0, 0, 0)
			return t
		}, report.Options{}, []string{
			"How many fruit stand on the plants isn't known: a last count was of a part or given up, or fruit was taken since without counting it.",
			"Nothing has been picked yet.", "No losses have been recorded.", "No fruit is certain to have hung ripe for longer than 7 days."}},
		"records disagree": {func() *crop.Trial {
			t := bed("A1")
			counted(t, 0, 1, 50, 0, 0, 30)
			counted(t, 0, 4, 50, 0, 0, 0)
			return t
		}, report.Options{}, []string{
			"50 fruit stand on the plant, none of them ripe.", "Nothing has been picked yet.", "No losses have been recorded.",
			"No fruit is certain to have hung ripe for longer than 7 days.",
			"Records disagree in 1 place: see “Records to look at”."}},
	} {
		t.Run(name, func(t *testing.T) {
			trial := c.fill()
			trial.Arrange()
			var got []string
			r := report.Of(trial, c.o)
			for _, s := range withoutAhead(r) {
				if !strings.HasPrefix(s.Text, noCurve) {
					got = append(got, s.Text)
				}
			}
			if g, w := strings.Join(got, "\n"), strings.Join(c.want, "\n"); g != w {
				t.Errorf("got\n%s\nwant\n%s", g, w)
			}
		})
	}
}

// TestPlantAnswer reads the answer about one plant.
func TestPlantAnswer(t *testing.T) {
	trial := bed("A1", "A2", "A3", "A4")
	for _, day := range []int{1, 20} {
		counted(trial, 0, day, 2, 0, 0, 1)
		counted(trial, 1, day, 0, 0, 0, 0)
	}
	fromUnit(picked(trial, 0, 2, 1, 0)) // may be from any of the four plants
	picked(trial, 2, 2, 2, 20)
	trial.Arrange()
	wantPlantAnswers(t, trial,
		"3 fruit stand on it, 1 of them ripe.\nNothing has been picked yet.\nNo losses have been recorded.\nNo fruit is certain to have hung ripe for longer than 7 days.",
		"No fruit stands on it.\nNothing has been picked yet.\nNo losses have been recorded.\nNo fruit is certain to have hung ripe for longer than 7 days.",
		"It has not been counted yet, so what stands on it isn't known.\n2 fruit have been picked, 20 g in all.\nNo losses have been recorded.",
		"Nothing has been counted on A4 or picked from it yet.",
	)
}

// TestRemovedPlantAnswer: of a plant that is gone the answer says so.
func TestRemovedPlantAnswer(t *testing.T) {
	trial := bed("A1", "A2", "A3")
	for i := range trial.Plants {
		trial.Plants[i].RemovedOn = &crop.Date{Year: 2026, Month: time.May, Day: 10}
	}
	counted(trial, 0, 8, 2, 0, 0, 1)
	lost(trial, 0, 10, 1, "green", crop.Cleared)
	picked(trial, 1, 2, 2, 48.5)
	trial.Arrange()
	wantPlantAnswers(t, trial,
		"No fruit stands on it: it was removed on 10 May 2026.\nNothing has been picked yet.\nNo fruit was lost; 1 was cleared with the plant.\n"+
			"2 fruit were left on it when it was removed and are recorded neither as picked nor as lost: record them as picked, or as cleared.\n"+
			"No fruit is certain to have hung ripe for longer than 7 days.",
		"It was not counted before it was removed on 10 May 2026, so what stood on it isn't known.\n2 fruit have been picked, 49 g in all.\nNo losses have been recorded.",
		"Nothing was counted on A3 or picked from it before it was removed on 10 May 2026.",
	)
}

// wantPlantAnswers compares the answers about the plants of a bed, in the order of their labels.
func wantPlantAnswers(t *testing.T, trial *crop.Trial, wants ...string) {
	t.Helper()
	for i, want := range wants {
		r, err := report.OfPlant(trial, crop.ID{4, byte(i)}, report.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got := text(withoutAhead(r.Season)); got != want {
			t.Errorf("plant %d: got\n%s\nwant\n%s", i, got, want)
		}
	}
}
