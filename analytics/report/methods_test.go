package report_test

import (
	"strings"
	"testing"

	"vinetally/analytics/report"
	"vinetally/testdata/demoseasons"
)

// TestMethodsNameWhatWasDone: the paragraph has the parts that the report has, and no others.
func TestMethodsNameWhatWasDone(t *testing.T) {
	trial := demoseasons.Load(t)[demoseasons.Autumn]
	text := report.Of(trial, report.Options{}).Methods()
	for _, words := range []string{"12 plants, ", "Logistic and Gompertz curves", "jackknife", "Wilson 1927", "Adams, Cockshull and Cave 2001", "BBCH"} {
		if !strings.Contains(text, words) {
			t.Errorf("the paragraph lacks %q: %s", words, text)
		}
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
