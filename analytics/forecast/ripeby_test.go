package forecast_test

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/ripening"
	"vinetally/analytics/simulate"
)

// dated sums up how days by which a share is ripe held.
type dated struct{ plants, given, early, late, off, width float64 }

func (d *dated) see(by forecast.RipeBy, truth time.Time) {
	d.plants++
	if by.Low.IsZero() {
		return
	}
	d.given++
	d.width += by.High.Sub(by.Low).Hours() / 24
	d.off += truth.Sub(by.On).Hours() / 24
	switch {
	case truth.Before(by.Low):
		d.early++
	case truth.After(by.High):
		d.late++
	}
}

func (d *dated) held() float64 { return 1 - (d.early+d.late)/d.given }

func (d *dated) log(t *testing.T, name string) {
	t.Helper()
	t.Logf("%s: %.0f of %.0f plants have an interval, %.1f days wide; it holds the truth of %.1f %%, which is before it in %.1f %%, after it in %.1f %%, and %+.1f days after the expected day",
		name, d.given, d.plants, d.width/d.given, 100*d.held(), 100*d.early/d.given, 100*d.late/d.given, d.off/d.given)
}

// ripeningHours are when those of a plant's fruit become ripe that have set at an hour, aren't ripe then and become it on the plant, +Inf for those that
// would after the simulated season.
func ripeningHours(p *simulate.Plant, hour float64) []float64 {
	var all []float64
	for i := range p.Fruits {
		x := &p.Fruits[i]
		if red := x.Enters[simulate.Red]; x.Enters[simulate.Green] <= hour && hour < red && (red < x.Gone || math.IsInf(x.Gone, 1)) {
			all = append(all, red)
		}
	}
	slices.Sort(all)
	return all
}

// TestRipeBy: 90 % intervals of the days by which half and nine tenths of what is to come are ripe hold the true ones of 84 to 97 in 100 plants. They
// are judged as long before the end of the simulated season as it takes nearly all plants to get there.
func TestRipeBy(t *testing.T) {
	conducts, seeds := trials(t)
	shares := []struct {
		name  string
		share float64
		of    func(*forecast.ToCome) forecast.RipeBy
		last  int // day of the season on which it is judged
	}{
		{"half", 0.5, func(c *forecast.ToCome) forecast.RipeBy { return c.Half }, 125},
		{"nine tenths", 0.9, func(c *forecast.ToCome) forecast.RipeBy { return c.Most }, 110},
	}
	var all [2]dated
	byDay := [2]map[int]*dated{{}, {}}
	unknown := 0
	watched(conducts, seeds, func(w *simulate.World, m *ripening.Model, _ *crop.Trial, asOf time.Time) {
		f := forecast.Of(m, forecast.Options{Days: forecast.DefaultDays})
		day := int(w.Hour(asOf) / 24)
		for i := range f.Plants {
			c := &f.Plants[i].ToCome
			at := slices.IndexFunc(w.Plants, func(p simulate.Plant) bool { return p.ID == f.Plants[i].ID })
			hours := ripeningHours(&w.Plants[at], w.Hour(asOf))
			for k, s := range shares {
				by := s.of(c)
				if day > s.last || len(hours) == 0 || by.On.IsZero() {
					continue
				}
				truth := hours[int(math.Ceil(s.share*float64(len(hours))-1e-9))-1]
				if math.IsInf(truth, 1) {
					unknown++
					continue
				}
				if byDay[k][day] == nil {
					byDay[k][day] = &dated{}
				}
				byDay[k][day].see(by, w.At(truth))
				all[k].see(by, w.At(truth))
			}
		}
	})
	for k, s := range shares {
		for _, day := range slices.Sorted(maps.Keys(byDay[k])) {
			byDay[k][day].log(t, fmt.Sprintf("%s, day %d", s.name, day))
		}
		all[k].log(t, s.name)
		if held := all[k].held(); seeds >= seedsToJudge && !(0.84 <= held && held <= 0.97) {
			t.Errorf("%s: 90 %% intervals hold the truth of %.3f of the plants", s.name, held)
		}
		if seeds >= seedsToJudge && all[k].given < 0.8*all[k].plants {
			t.Errorf("%s: only %v of %v plants have an interval", s.name, all[k].given, all[k].plants)
		}
	}
	t.Logf("%d true days are after the season", unknown)
	if float64(unknown) > 0.05*(all[0].plants+all[1].plants) {
		t.Errorf("%d true days are after the season: it is judged too late in it", unknown)
	}
}
