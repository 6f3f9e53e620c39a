package report_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
)

// TestHardlyAny: of a plant that is nearly done, of which the forecast expects less than half a fruit, nobody is told of “about 0 more”.
func TestHardlyAny(t *testing.T) {
	tr := &crop.Trial{Season: crop.Season{ID: crop.ID{1}}, Scales: []crop.Scale{crop.DefaultScale()}, Cultivars: []crop.Cultivar{{ID: crop.ID{3}, Name: "Pip"}},
		Places: []crop.Place{{ID: crop.ID{2}, Name: "Sill"}}, Plants: []crop.Plant{{ID: crop.ID{5}, SeasonID: crop.ID{1}, PlaceID: crop.ID{2}, CultivarID: crop.ID{3},
			Label: "A1", SownOn: &crop.Date{Year: 2026, Month: 2, Day: 1}}}}
	picked := 0
	for v := range 13 {
		at := time.Date(2026, 4, 1+3*v, 9, 0, 0, 0, time.UTC)
		reached := func(mid float64) int { return int(math.Round(30 / (1 + math.Exp(-(float64(v)-mid)/1.3)))) }
		set, breaker, turning, red := reached(1), reached(5), reached(6.2), reached(7.6)
		if v == 0 {
			breaker, turning, red = 0, 0, 0
		}
		tr.Visits = append(tr.Visits, visit(at, map[string]int{"green": set - breaker, "breaker": breaker - turning, "turning": turning - red, "red": red - picked}))
		tr.Visits[v].ID, tr.Visits[v].PlantID = crop.ID{8, byte(v)}, crop.ID{5}
		if red > picked {
			tr.Pickings = append(tr.Pickings, crop.Picking{ID: crop.ID{9, byte(v)}, PlantID: &crop.ID{5}, PickedAt: crop.InstantMoment(at.Add(time.Hour)), Stage: "red",
				Fruits: new(red - picked), Grade: crop.Marketable})
			picked = red
		}
	}
	tr.Arrange()
	hardly := 0
	for after := range 15 {
		r := report.Of(tr, report.Options{AsOf: tr.Visits[12].CountedAt.At.AddDate(0, 0, after).Add(2 * time.Hour)})
		words := r.RipeSentence()
		if strings.Contains(words, "about 0 more") {
			t.Errorf("%d days after the last count: %q", after, words)
		}
		if strings.HasPrefix(words, "Hardly any more fruit is expected to be ripe by ") && strings.Contains(words, "(90 % interval 0 to ") {
			hardly++
		}
	}
	if hardly == 0 {
		t.Error("no moment at which hardly any fruit is expected")
	}
}
