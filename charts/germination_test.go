package charts

import (
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
)

// TestSeedBesideThePublished: 6 of 8 seeds came up, one of them on day 16; three plants name the lot. At 20 °C the published table has 8 days and
// 98 % (Harrington and Minges 1954).
func TestSeedBesideThePublished(t *testing.T) {
	trial := smallTrial()
	sown := crop.Date{Year: 2026, Month: 3, Day: 1}
	for _, c := range []struct{ day, up int }{{6, 0}, {8, 5}, {16, 6}} {
		trial.Germination = append(trial.Germination, crop.Germination{ID: crop.ID{11, byte(c.day)}, SeasonID: crop.ID{1}, CultivarID: crop.ID{3}, Lot: "P-1",
			SownOn: &sown, CountedOn: new(sown.AddDays(c.day)), Seeds: new(8), Emerged: new(c.up)})
	}
	for i := range trial.Plants[:2] {
		trial.Plants[i].Lot = "P-1"
	}
	trial.Plants[0].TransplantedOn = new(sown.AddDays(25))
	for h := range 20 * 24 {
		trial.Temperatures = append(trial.Temperatures, crop.Temperature{ID: crop.ID{12, byte(h >> 8), byte(h)}, PlaceID: crop.ID{2},
			MeasuredAt: sown.Start(time.UTC).Add(time.Duration(h) * time.Hour), AirC: new(20.0)})
	}
	trial.Arrange()
	s := section(t, SeasonPage(report.Of(trial, report.Options{NoForecast: true}), ReportLinks{}), "How the seed came up")
	if got, want := rows(s), "Pip | P-1 | 1 Mar 2026 | 8 | 6 | 75 (46 – 91) | 9.3 (6.3 – 9.3) | 6 – 8 | 3.3 | 6 (≤ 29) | 1 | 2 | 1 | 4 | 20.0 | 8.0 | 98"; got != want {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	if words := strings.Join(s.Notes, "\n"); !strings.Contains(words, "Harrington and Minges 1954") || !strings.Contains(words, "thinned") {
		t.Errorf("the notes are %q", words)
	}
}
