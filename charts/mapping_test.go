package charts

import (
	"slices"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
)

// smallTrial is an invented bed of three plants and two cultivars: A1 with a full story, A2 removed, B1 never counted.
func smallTrial() *crop.Trial {
	on := func(month time.Month, day int) *crop.Date { return &crop.Date{Year: 2026, Month: month, Day: day} }
	at := func(day int) crop.Moment { return crop.InstantMoment(time.Date(2026, 5, day, 9, 30, 0, 0, time.UTC)) }
	t := &crop.Trial{Season: crop.Season{ID: crop.ID{1}, Name: "Spring", FirstDay: on(3, 1)}, Scales: []crop.Scale{crop.DefaultScale()},
		Places:    []crop.Place{{ID: crop.ID{2}, Name: "Sill"}},
		Cultivars: []crop.Cultivar{{ID: crop.ID{3}, Name: "Pip"}, {ID: crop.ID{4}, Name: "Stone", HoldDays: new(3.0)}},
		Plants: []crop.Plant{
			{ID: crop.ID{5}, SeasonID: crop.ID{1}, PlaceID: crop.ID{2}, CultivarID: crop.ID{3}, Label: "A1", SownOn: on(3, 1)},
			{ID: crop.ID{6}, SeasonID: crop.ID{1}, PlaceID: crop.ID{2}, CultivarID: crop.ID{3}, Label: "A2", SownOn: on(3, 1), RemovedOn: on(5, 8)},
			{ID: crop.ID{7}, SeasonID: crop.ID{1}, PlaceID: crop.ID{2}, CultivarID: crop.ID{4}, Label: "B1", SownOn: on(3, 1)},
		}}
	counts := func(plant crop.ID, day int, green, breaker, turning, red int) {
		t.Visits = append(t.Visits, crop.Visit{ID: crop.ID{8, byte(len(t.Visits))}, PlantID: plant, CountedAt: at(day),
			Counts: map[string]int{"green": green, "breaker": breaker, "turning": turning, "red": red}})
	}
	counts(crop.ID{5}, 1, 9, 0, 0, 3)
	counts(crop.ID{6}, 1, 2, 0, 0, 0)
	t.Pickings = []crop.Picking{
		{ID: crop.ID{9, 1}, PlantID: &crop.ID{5}, PickedAt: at(2), Stage: "red", Fruits: new(1), MassG: new(11.4), Grade: crop.Marketable},
		{ID: crop.ID{9, 2}, PlantID: &crop.ID{6}, PickedAt: at(7), Stage: "green", Fruits: new(1), Grade: crop.Cull},
	}
	t.Losses = []crop.Loss{
		{ID: crop.ID{10, 1}, PlantID: &crop.ID{5}, LostAt: at(12), Stage: "green", Fruits: new(1), Cause: crop.Pest},
		{ID: crop.ID{10, 2}, PlantID: &crop.ID{6}, LostAt: at(8), Stage: "green", Fruits: new(1), Cause: crop.Cleared},
	}
	counts(crop.ID{5}, 12, 6, 2, 0, 2)
	t.Arrange()
	return t
}

func section(t *testing.T, p Page, heading string) Section {
	t.Helper()
	i := slices.IndexFunc(p.Sections, func(s Section) bool { return s.Heading == heading })
	if i < 0 {
		t.Fatalf("the page has no section %q", heading)
	}
	return p.Sections[i]
}

func rows(s Section) string {
	if s.Table == nil {
		return ""
	}
	lines := make([]string, len(s.Table.Rows))
	for i, row := range s.Table.Rows {
		lines[i] = strings.Join(row, " | ")
	}
	return strings.Join(lines, "\n")
}

func TestSeasonPageTables(t *testing.T) {
	p := SeasonPage(report.Of(smallTrial(), report.Options{NoForecast: true}), ReportLinks{})
	if err := Check(p); err != nil {
		t.Error(err)
	}
	for heading, want := range map[string]string{
		"Standing fruit by ripeness": "1 May 2026 | 11 | 0 | 0 | 3 | 0 | 0 | 2\n" +
			"2 May 2026 | 11 | 0 | 0 | 2 | 1 | 0 | 0\n" +
			"7 May 2026 | 10 | 0 | 0 | 2 | 1 | 0 | 0\n" +
			"8 May 2026 | 9 | 0 | 0 | 2 | 0 | 1 | 0\n" +
			"12 May 2026 | 6 | 2 | 0 | 2 | 0 | 1 | 1",
		"Picked so far, by cultivar": "Pip | 2 | 2 | 1.0 | 1 | 1 | 1 | 11 | 11.4 | 1 fruit, 2 May 2026\nStone | 1 | 0 | 0.0 | 0 | 0 | 0 | – | – | –\nAll | 3 | 2 | 0.7 | 1 | 1 | 1 | 11 | – | –",
		"Past ripe, by plant":        "A1 | Pip | Sill | 2 | 2 | 7 | not known",
		"Losses, by cause":           "pest | 0 | 1 | 1\ncleared | 0 | 1 | 1",
		"Waste, by cultivar":         "Pip | 2 | 3 | 0 | – | 0 | 0 | 0 | 1 | 0 | 0 | 2\nStone | 1 | 0 | 0 | – | 0 | 0 | – | 0 | 0 | 0 | 0\nAll | 3 | 3 | 0 | – | 0 | 0 | 0 | 1 | 0 | 0 | 2",
		"Plants":                     "A1 | Pip | Sill | 2 | 12 | 10 | 1 | 11 | 1 | – | 0\nA2 | Pip | Sill, until 8 May 2026 | 1 | 2 | 0 | 1 | – | 1 | 0 | 0\nB1 | Stone | Sill | 0 | 0 | not counted | 0 | – | 0 | – | 0",
	} {
		if got := rows(section(t, p, heading)); got != want {
			t.Errorf("%s: got\n%s\nwant\n%s", heading, got, want)
		}
	}
	for heading, want := range map[string]string{
		"Standing fruit by ripeness": "on 12 May 2026 there stood 6 green, 2 breaker and 2 red.",
		"Losses, by cause":           "Fruit lost by cause: 1 in all, and 1 more cleared with removed plants.",
		"Waste, by cultivar":         "Of the 3 fruit that ripened none was wasted so far.",
		"Picked so far, by cultivar": "added up by cultivar: 2 in all.",
	} {
		if got := section(t, p, heading).Sentence; !strings.HasSuffix(got, want) {
			t.Errorf("%s: the sentence is %q, want it to end %q", heading, got, want)
		}
	}
	if got := section(t, p, "When the fruit ripened"); got.Figure != nil || got.Empty == "" || len(got.Notes) == 0 {
		t.Errorf("without a curve: figure %v, empty %q, notes %q", got.Figure, got.Empty, got.Notes)
	}
	if want := "since 1 Mar 2026; 3 plants"; p.Subtitle != want {
		t.Errorf("subtitle: got %q, want %q", p.Subtitle, want)
	}
}

func TestKeyFigures(t *testing.T) {
	figures := func(r *report.Season) string {
		var parts []string
		for _, k := range keyFigures(r) {
			parts = append(parts, strings.TrimSpace(k.Label+": "+k.Value+" "+k.Unit)+" ("+k.Detail+")")
		}
		return strings.Join(parts, "; ")
	}
	at := func(day int) report.Options {
		return report.Options{NoForecast: true, AsOf: time.Date(2026, 5, day, 0, 0, 0, 0, time.UTC)}
	}
	for name, c := range map[string]struct {
		o    report.Options
		want string
	}{
		"at the end": {report.Options{NoForecast: true}, "Standing: 10 fruit (on 1 of 3 plants; 2 counted); Picked: 2 fruit (11 g weighed); Lost: 1 fruit (and 1 cleared); Past ripe: at least 2 fruit (if the records are complete)"},
		"on 3 May":   {at(3), "Standing: 13 fruit (on 2 of 3 plants; 2 counted); Picked: 1 fruit (11 g weighed); Lost: 0 fruit (); Past ripe: none certain (if the records are complete)"},
		"before all": {at(1), "Standing: not counted yet (); Picked: 0 fruit (); Lost: 0 fruit (); Past ripe: not known (nothing was counted yet)"},
	} {
		t.Run(name, func(t *testing.T) {
			if got := figures(report.Of(smallTrial(), c.o)); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

func TestPlantPageTables(t *testing.T) {
	trial := smallTrial()
	r, err := report.OfPlant(trial, crop.ID{5}, report.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p := PlantPage(r, ReportLinks{})
	if err := Check(p); err != nil {
		t.Error(err)
	}
	want := "1 May 2026, 09:30 | 9 | 0 | 0 | 3 | 12 | 3 | 3 | 3 | 0 | 0 | 0 | whole plant\n" +
		"12 May 2026, 09:30 | 6 | 2 | 0 | 2 | 12 | 5 | 3 | 3 | 1 | 1 | 0 | whole plant"
	if got := rows(section(t, p, "Every fruit accounted for")); got != want {
		t.Errorf("ledger: got\n%s\nwant\n%s", got, want)
	}
	// 1 May is day 61 from 1 March; nobody had looked before, and one fruit of 11.4 g was picked.
	if got, want := rows(section(t, p, "What it gave")), "A1 | 1 | 1 | 0 | 11 | 11.4 | 61 | – | –"; got != want {
		t.Errorf("yield: got %q, want %q", got, want)
	}
	curves, ok := section(t, p, "How many fruit reached each stage").Figure.(Curves)
	if !ok || len(curves.Series) != 4 {
		t.Fatalf("got %d series, want one for each stage", len(curves.Series))
	}
	for i, s := range curves.Series {
		if s.Stage == nil || s.Stage.Stage != i || s.Stage.Ripe != 3 {
			t.Errorf("series %q wears the look of %+v", s.Name, s.Stage)
		}
	}
	// Before its removal the plant still stands, whatever is known now.
	r, err = report.OfPlant(trial, crop.ID{7}, report.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p = PlantPage(r, ReportLinks{})
	if err := Check(p); err != nil {
		t.Error(err)
	}
	for _, heading := range []string{"How many fruit reached each stage", "Every fruit accounted for", "What it gave", "Diary"} {
		if s := section(t, p, heading); s.Empty == "" || s.Figure != nil {
			t.Errorf("%s of a plant never counted: empty %q, figure %v", heading, s.Empty, s.Figure)
		}
	}
}

// TestRemovedLater checks that a removal after the moment spoken of isn't told.
func TestRemovedLater(t *testing.T) {
	p := SeasonPage(report.Of(smallTrial(), report.Options{AsOf: time.Date(2026, 5, 3, 0, 0, 0, 0, time.UTC)}), ReportLinks{})
	if got := rows(section(t, p, "Plants")); strings.Contains(got, "until") {
		t.Errorf("as of 3 May, the removal of 8 May is told:\n%s", got)
	}
}

// TestPickedWithoutCounts: pickings alone leave no count for a chart to rest on, and no curve to look for reasons of.
func TestPickedWithoutCounts(t *testing.T) {
	tr := smallTrial()
	tr.Visits = nil
	p := SeasonPage(report.Of(tr, report.Options{NoForecast: true}), ReportLinks{})
	if got, want := section(t, p, "Standing fruit by ripeness").Figure.(StageAreas).Basis, "what was picked and lost, and on no count"; got != want {
		t.Errorf("standing fruit rests on %q, want %q", got, want)
	}
	if got, want := section(t, p, "When the fruit ripened").Empty, "A curve is fitted to counts, and no plant has been counted yet."; got != want {
		t.Errorf("curves: got %q, want %q", got, want)
	}
	counted := SeasonPage(report.Of(smallTrial(), report.Options{NoForecast: true}), ReportLinks{})
	if got, want := section(t, counted, "Standing fruit by ripeness").Figure.(StageAreas).Basis, "3 counts on 2 days"; got != want {
		t.Errorf("standing fruit rests on %q, want %q", got, want)
	}
}
