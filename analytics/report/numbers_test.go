package report_test

import (
	"testing"

	"vinetally/analytics/report"
)

func TestRounding(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{report.Rounded(48.5, 0), "49"}, {report.Rounded(49.5, 0), "50"}, {report.Rounded(-0.5, 0), "-1"}, {report.Rounded(-0.2, 0), "0"},
		{report.Rounded(37.25, 1), "37.3"}, {report.Rounded(36, 1), "36.0"},
		{report.Grams(48.5), "49 g"}, {report.Grams(0), "0 g"}, {report.Grams(999.4), "999 g"}, {report.Grams(999.5), "1.00 kg"}, {report.Grams(3070), "3.07 kg"},
		{report.Grams(1125), "1.13 kg"},
		{report.Days(88.25), "88.3"}, {report.Days(89), "89"}, {report.Days(88.96), "89"}, {report.Days(7), "7"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

// TestExpected: whole fruit, and a tenth below one.
func TestExpected(t *testing.T) {
	for _, c := range []struct {
		mean, low, high float64
		want            string
	}{{85.3, 71, 100, "85 (71 – 100)"}, {8.5, 4, 14, "9 (4 – 14)"}, {0.34, 0, 1, "0.3 (0 – 1)"}, {2.6, 1, 4, "3 (1 – 4)"}, {0.97, 0, 2, "1 (0 – 2)"}, {0.04, 0, 0, "0 (0 – 0)"}, {0, 0, 0, "0 (0 – 0)"}} {
		if got := report.Expected(c.mean, c.low, c.high); got != c.want {
			t.Errorf("%v in %v to %v: %q, want %q", c.mean, c.low, c.high, got, c.want)
		}
	}
}
