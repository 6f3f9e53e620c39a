package report_test

import (
	"regexp"
	"strings"
	"testing"

	"vinetally/analytics/report"
	"vinetally/testdata/demoseasons"
)

// TestMethodsNameWhatWasDone: the paragraph has the parts that the report has, and no others.
func TestMethodsNameWhatWasDone(t *testing.T) {
	trial := demoseasons.Load(t)[demoseasons.Autumn]
	text := report.Of(trial, report.Options{}).Methods()
	for _, words := range []string{"12 plants, ", "Logistic and Gompertz curves", "jackknife", "Wilson 1927", "Adams, Cockshull and Cave 2001", "BBCH", "empirical Bayes", "Student's t", "simple random sample", "published emergence"} {
		if !strings.Contains(text, words) {
			t.Errorf("the paragraph lacks %q: %s", words, text)
		}
	}
	for _, cited := range regexp.MustCompile(`\(([^()]*;)? ?([^();]*) (\d{4})\)`).FindAllStringSubmatch(text, -1) {
		author, _, _ := strings.Cut(strings.ReplaceAll(cited[2], ",", " "), " ")
		if n := strings.Count(strings.Join(report.Works(text), "\n"), "("+cited[3]+")"); n == 0 || !strings.Contains("\n"+strings.Join(report.Works(text), "\n"), "\n"+author+" ") {
			t.Errorf("%s %s is cited and not listed", cited[2], cited[3])
		}
	}
	if !strings.Contains(text, "against standard days") || len(report.Works(text)) != 9 {
		t.Errorf("the paragraph cites %d works, want 9: %s", len(report.Works(text)), text)
	}
	bare := *trial
	bare.Temperatures, bare.Germination, bare.Pickings, bare.Losses = nil, nil, nil, nil
	text = report.Of(&bare, report.Options{}).Methods()
	for _, words := range []string{"Wilson", "Adams"} {
		if strings.Contains(text, words) {
			t.Errorf("without readings and germination counts it speaks of %s: %s", words, text)
		}
	}
	bare.Visits = nil
	if text := report.Of(&bare, report.Options{}).Methods(); text != "" {
		t.Errorf("of nothing counted: %s", text)
	}
}
