package report_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
	"vinetally/charts"
)

// TestLookBack: what other intervals would have lost stands in the season's report once there are enough dated losses, with the very numbers of package
// forecast; before there is the reason, and a plant's report has neither.
func TestLookBack(t *testing.T) {
	section := func(p charts.Page) *charts.Section {
		for i := range p.Sections {
			if p.Sections[i].Heading == "Had you picked more often" {
				return &p.Sections[i]
			}
		}
		return nil
	}
	trial := bed("A1", "A2")
	for i := range trial.Plants {
		for week := range 6 {
			counted(trial, i, 1+7*week, 30-4*week, 2, 2, 4)
			if week > 0 {
				picked(trial, i, 1+7*week, 2, 0)
			}
		}
	}
	for n := range 9 {
		lost(trial, n%2, 9+3*n, 1, "red", crop.Dropped)
	}
	trial.Arrange()
	r := report.Of(trial, report.Options{})
	s := section(charts.SeasonPage(r, charts.ReportLinks{}))
	if s == nil || s.Figure != nil || s.Table != nil || !strings.Contains(s.Empty, "at least 10 dated losses of ripe fruit, and there are 9") || r.LookBackSentence() != "" {
		t.Fatalf("of nine losses: %+v", s)
	}
	lost(trial, 0, 36, 2, "red", crop.Dropped)
	trial.Arrange()
	r = report.Of(trial, report.Options{})
	s = section(charts.SeasonPage(r, charts.ReportLinks{}))
	back := r.LookBack()
	if s == nil || s.Empty != "" || len(back.By) != 5 || len(s.Table.Rows) != 5 {
		t.Fatalf("of eleven losses: %+v, %+v", s, back)
	}
	for i, x := range back.By {
		if lost := float64(back.Losses) + back.Unwritten; math.Abs(x.Saved.Mean+x.LostShare.Mean*back.Ripe-lost) > 1e-6*lost || x.Saved.Low > x.Saved.Mean || x.Saved.High < x.Saved.Mean {
			t.Errorf("picked %s: %+v saved of %.2f lost of %.2f", report.Every(x.EveryDays), x.Saved, lost, back.Ripe)
		}
		if i > 0 && x.LostShare.Mean <= back.By[i-1].LostShare.Mean {
			t.Errorf("picked %s no more is lost than %s", report.Every(x.EveryDays), report.Every(back.By[i-1].EveryDays))
		}
		if want := []string{report.Every(x.EveryDays), report.Rounded(100*x.LostShare.Mean, 1), report.Rounded(100*x.LostShare.Low, 1), report.Rounded(100*x.LostShare.High, 1),
			fmt.Sprintf("%.0f (%.0f to %.0f)", x.Saved.Mean, x.Saved.Low, x.Saved.High)}; fmt.Sprint(s.Table.Rows[i]) != fmt.Sprint(want) {
			t.Errorf("row %q, want %q", s.Table.Rows[i], want)
		}
	}
	for _, want := range []string{"Picked clean every day, ", "% interval ", "every 7 days, about"} {
		if !strings.Contains(s.Sentence, want) {
			t.Errorf("%q lacks %q", s.Sentence, want)
		}
	}
	if worst := r.CostliestSentence(); worst == "" || s.Notes[0] != r.SavedSentence() || s.Notes[1] != worst {
		t.Errorf("the costliest gap: %q, the notes %q", worst, s.Notes)
	}
	one, err := report.OfPlant(trial, trial.Plants[0].ID, report.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if s := section(charts.PlantPage(one, charts.ReportLinks{})); s != nil {
		t.Errorf("a plant's report has it too: %+v", s)
	}
}
