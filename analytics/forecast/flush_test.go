package forecast_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/ripening"
	"vinetally/analytics/simulate"
)

// waves sums up how forecasts of a next wave held: how many were said, how many of them aren't one by what truly ripens, and how many weren't said, rightly
// and not.
type waves struct {
	begins                      dated
	said, none, unsaid, nowhere int
}

// see holds what is said against the same judgement on when fruit truly become ripe, up to the simulated season's end.
func (v *waves) see(c *forecast.ToCome, w *simulate.World, asOf time.Time, hours []float64) {
	by := make([]float64, w.Days-int(w.Hour(asOf)/24))
	for _, h := range hours {
		for d := (h - w.Hour(asOf)) / 24; d < float64(len(by)); d++ {
			by[int(d)]++
		}
	}
	truth := forecast.NextFlushDay(by)
	switch said := !c.NextFlush.On.IsZero(); {
	case said && truth > 0:
		v.said++
		v.begins.see(c.NextFlush, asOf.AddDate(0, 0, truth))
	case said:
		v.said, v.none = v.said+1, v.none+1
	case truth > 0:
		v.unsaid++
	default:
		v.nowhere++
	}
}

// TestNextFlush: where a second wave is in sight there nearly always is one by what truly ripens, and 90 % intervals hold the day on which it begins.
func TestNextFlush(t *testing.T) {
	conducts, seeds := trials(t)
	var plants, seasons waves
	const lastDay = 100 // later the season ends before most second waves are ripe
	watched(conducts, seeds, func(w *simulate.World, m *ripening.Model, _ *crop.Trial, asOf time.Time) {
		if w.Hour(asOf) > lastDay*24 {
			return
		}
		f := forecast.Of(m, forecast.Options{Days: forecast.DefaultDays})
		var all []float64
		for i := range f.Plants {
			k := slices.IndexFunc(w.Plants, func(x simulate.Plant) bool { return x.ID == f.Plants[i].ID })
			hours := ripeningHours(&w.Plants[k], w.Hour(asOf))
			all = append(all, hours...)
			plants.see(&f.Plants[i].ToCome, w, asOf, hours)
		}
		if f.ToCome != nil {
			seasons.see(f.ToCome, w, asOf, all)
		}
	})
	for name, v := range map[string]*waves{"plants": &plants, "seasons": &seasons} {
		t.Logf("%s: a wave is said of %d, %d of them have none; it isn't said of %d that have one and of %d that haven't; %s", name, v.said, v.none, v.unsaid, v.nowhere, &v.begins)
	}
	if held := plants.begins.held(); seeds >= seedsToJudge && !(0.84 <= held && held <= 0.985) {
		t.Errorf("90 %% intervals of the day on which the next wave begins hold %.3f", held)
	}
	if seeds >= seedsToJudge && float64(plants.none) > math.Max(2, 0.1*float64(plants.said)) {
		t.Errorf("of %d waves %d don't come", plants.said, plants.none)
	}
}
