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
