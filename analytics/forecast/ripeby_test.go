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
type dated struct{ asked, given, early, late, off, width float64 }

func (d *dated) see(by forecast.RipeBy, truth time.Time) {
	d.asked++
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

func (d *dated) String() string {
	return fmt.Sprintf("%.0f of %.0f have an interval, %.1f days wide; it holds the truth of %.1f %%, which is before it in %.1f %%, after it in %.1f %%, and %+.1f days after the median",
		d.given, d.asked, d.width/d.given, 100*d.held(), 100*d.early/d.given, 100*d.late/d.given, d.off/d.given)
}

// numbered sums up how numbers to come held.
type numbered struct{ n, below, above, off, truth, width float64 }

func (d *numbered) see(mean float64, low, high, truth int) {
	d.n++
	d.off += mean - float64(truth)
	d.truth += float64(truth)
	d.width += float64(high - low)
	switch {
	case truth < low:
		d.below++
	case truth > high:
		d.above++
	}
}

func (d *numbered) held() float64 { return 1 - (d.below+d.above)/d.n }

func (d *numbered) String() string {
	return fmt.Sprintf("%.0f intervals, %.1f fruit wide; they hold the truth (%.1f on average) of %.1f %%, which is below in %.1f %%, above in %.1f %%; the mean is %+.2f off",
		d.n, d.width/d.n, d.truth/d.n, 100*d.held(), 100*d.below/d.n, 100*d.above/d.n, d.off/d.n)
}

// ripeningHours are when those of a plant's fruit become ripe that have set at an hour, aren't ripe then and become it on the plant, +Inf for those that
// would after the simulated season. What is cut off later, or dies with its plant, counts by when it would have been ripe: nobody foretells that.
func ripeningHours(p *simulate.Plant, hour float64) []float64 {
	var all []float64
	for i := range p.Fruits {
		x := &p.Fruits[i]
		if red := x.Enters[simulate.Red]; x.Enters[simulate.Green] <= hour && hour < red && hour < x.Gone && (red < x.Gone || math.IsInf(x.Gone, 1) || x.Fate == simulate.Thinned || x.Fate == simulate.Died) {
			all = append(all, red)
		}
	}
	return all
}

// dates are those of which it is judged by when a share of what is to come is ripe: the days on which it is, and the last day of the season on which it is
// judged, as long before the simulated season's end as it takes nearly all plants to get there.
var dates = []struct {
	name  string
	share float64
	of    func(*forecast.ToCome) forecast.RipeBy
	last  int
	few   float64 // asked where less is to come; 0 is of any number
}{
	{"the first", 1e-6, func(c *forecast.ToCome) forecast.RipeBy { return c.First }, 140, 0},
	{"half", 0.5, func(c *forecast.ToCome) forecast.RipeBy { return c.Half }, 125, 0},
	{"nine tenths", 0.9, func(c *forecast.ToCome) forecast.RipeBy { return c.Most }, 110, 0},
	{"all", 1, func(c *forecast.ToCome) forecast.RipeBy { return c.Last }, 95, 0},
	{"nine tenths of few", 0.9, func(c *forecast.ToCome) forecast.RipeBy { return c.Most }, 140, 7},
	{"all of few", 1, func(c *forecast.ToCome) forecast.RipeBy { return c.Last }, 140, 7},
}

// judged is what is found of plants, cultivars or seasons.
type judged struct {
	number  map[int]*numbered // by day of the season
	lastDay map[int]*numbered // how much is ripe by the season's last day, which is said to be beforeLast days ahead
	dates   []map[int]*dated  // by which of dates and day
	unknown float64
}

func newJudged() *judged {
	j := &judged{number: map[int]*numbered{}, lastDay: map[int]*numbered{}}
	for range dates {
		j.dates = append(j.dates, map[int]*dated{})
	}
	return j
}

const beforeLast = 30

func at[K comparable, V any](m map[K]*V, k K) *V {
	if m[k] == nil {
		m[k] = new(V)
	}
	return m[k]
}

// see holds what is to come against when fruit truly become ripe.
func (j *judged) see(w *simulate.World, day int, c *forecast.ToCome, hours []float64) {
	slices.Sort(hours)
	at(j.number, day).see(c.Mean, c.Low, c.High, len(hours))
	if x := c.LastDay; x != nil {
		end := w.Hour(x.On.AddDays(1).Start(time.UTC))
		ripe, _ := slices.BinarySearch(hours, end)
		at(j.lastDay, day).see(x.Mean, x.Low, x.High, ripe)
	}
	for k, s := range dates {
		by := s.of(c)
		if day > s.last || len(hours) == 0 || c.Mean < 0.5 || s.few > 0 && c.Mean >= s.few {
			continue
		}
		truth := hours[int(math.Ceil(s.share*float64(len(hours))-1e-9))-1]
		if math.IsInf(truth, 1) {
			j.unknown++
			continue
		}
		at(j.dates[k], day).see(by, w.At(truth))
	}
}

// TestRipeBy: 90 % intervals of what is still to come of plants, cultivars and seasons, and of the days by which half, nine tenths and all of it are
// ripe, hold the truth.
func TestRipeBy(t *testing.T) {
	conducts, seeds := trials(t)
	all := map[string]*judged{"plants": newJudged(), "cultivars": newJudged(), "seasons": newJudged()}
	watched(conducts, seeds, func(w *simulate.World, m *ripening.Model, _ *crop.Trial, asOf time.Time) {
		last := crop.DateOf(asOf).AddDays(beforeLast)
		f := forecast.Of(m, forecast.Options{Days: forecast.DefaultDays, LastDay: &last})
		day := int(w.Hour(asOf) / 24)
		of := map[crop.ID][]float64{}
		var season []float64
		for i := range f.Plants {
			p := &f.Plants[i]
			k := slices.IndexFunc(w.Plants, func(x simulate.Plant) bool { return x.ID == p.ID })
			hours := ripeningHours(&w.Plants[k], w.Hour(asOf))
			of[p.CultivarID] = append(of[p.CultivarID], hours...)
			season = append(season, hours...)
			all["plants"].see(w, day, &p.ToCome, hours)
		}
		for i := range f.Cultivars {
			if c := &f.Cultivars[i]; c.ToCome != nil {
				all["cultivars"].see(w, day, c.ToCome, of[c.ID])
			}
		}
		if f.ToCome != nil {
			all["seasons"].see(w, day, f.ToCome, season)
		}
	})
	const fewestHeld, mostHeld = 0.84, 0.985
	for name, j := range all {
		asked := 0.0
		for what, by := range map[string]map[int]*numbered{"number": j.number, "number by the last day": j.lastDay} {
			var number numbered
			for _, day := range slices.Sorted(maps.Keys(by)) {
				x := by[day]
				t.Logf("%s, %s, day %d: %s", name, what, day, x)
				number.n, number.below, number.above, number.off = number.n+x.n, number.below+x.below, number.above+x.above, number.off+x.off
				number.truth, number.width = number.truth+x.truth, number.width+x.width
			}
			t.Logf("%s, %s: %s", name, what, &number)
			if held := number.held(); seeds >= seedsToJudge && !(fewestHeld <= held && held <= mostHeld) {
				t.Errorf("%s: 90 %% intervals of the %s hold %.3f", name, what, held)
			}
		}
		for k, s := range dates {
			var sum dated
			for _, day := range slices.Sorted(maps.Keys(j.dates[k])) {
				x := j.dates[k][day]
				t.Logf("%s, %s, day %d: %s", name, s.name, day, x)
				sum.asked, sum.given, sum.early, sum.late = sum.asked+x.asked, sum.given+x.given, sum.early+x.early, sum.late+x.late
				sum.off, sum.width = sum.off+x.off, sum.width+x.width
			}
			if sum.asked == 0 { // no season has as few
				continue
			}
			t.Logf("%s, %s: %s", name, s.name, &sum)
			if held := sum.held(); seeds >= seedsToJudge && !(fewestHeld <= held && held <= mostHeld) {
				t.Errorf("%s: 90 %% intervals of the day by which %s is ripe hold %.3f", name, s.name, held)
			}
			if seeds >= seedsToJudge && sum.given < 0.8*sum.asked {
				t.Errorf("%s, %s: only %v of %v have an interval", name, s.name, sum.given, sum.asked)
			}
			asked += sum.asked
		}
		t.Logf("%s: %v true days are after the season", name, j.unknown)
		if j.unknown > 0.05*asked {
			t.Errorf("%s: %v of %v true days are after the season: it is judged too late in it", name, j.unknown, asked)
		}
	}
}
