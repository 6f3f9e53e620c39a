package charts

import (
	"math"
	"strings"
	"testing"
	"time"
)

func sampleFan() Fan {
	f := Fan{Title: "Fruit newly ripe since 2 Feb 2026", Unit: unitFruit, Inner: "50 % interval", Outer: "90 % interval", Basis: "27 counts of 8 plants", Points: []FanPoint{{At: day(74)}}}
	for i := range 14 {
		m := math.Round(1.6 * float64(i+1))
		wide := math.Round(0.3*float64(i+1) + 1)
		f.Points = append(f.Points, FanPoint{At: day(75 + i), Median: m, InnerLow: math.Max(0, m-wide), InnerHigh: m + wide, OuterLow: math.Max(0, m-2*wide), OuterHigh: m + 3*wide})
	}
	return f
}

// TestStillFan: both bands are drawn, told apart by their edges, and the median lies where its axis says.
func TestStillFan(t *testing.T) {
	f := Fan{Title: "Newly ripe", Unit: unitFruit, Inner: "50 %", Outer: "90 %", Points: []FanPoint{
		{At: day(0)}, {At: day(1), Median: 5, InnerLow: 4, InnerHigh: 6, OuterLow: 2, OuterHigh: 10}}}
	picture := stillOf(t, f)
	if strings.Count(picture, `class="band"`) != 1 || strings.Count(picture, `class="band inner"`) != 1 {
		t.Errorf("want one band within another: %s", picture)
	}
	outer := numbersOf(t, picture, `class="band" d="M[0-9.]+ ([0-9.]+)l`)               // of the upper edge on the first day
	rise := numbersOf(t, picture, `class="band" d="M[0-9.]+ [0-9.]+l[0-9.]+-([0-9.]+)`) // up to its high end
	if len(outer) != 1 || len(rise) != 1 {
		t.Fatalf("the outer band isn't drawn from its first day: %s", picture)
	}
	unit := rise[0] / 10
	line := numbersOf(t, picture, `class="line" stroke-width="2.5" d="M[0-9.]+ [0-9.]+l[0-9.]+-([0-9.]+)`)
	if len(line) != 1 || math.Abs(line[0]-5*unit) > 0.2 {
		t.Errorf("the median rises by %v, want %.1f, five of the ten of the outer band", line, 5*unit)
	}
}

// TestFanRefuses what can't be a forecast.
func TestFanRefuses(t *testing.T) {
	good := sampleFan()
	for name, spoil := range map[string]func(*Fan){
		"no title":               func(f *Fan) { f.Title = "" },
		"a single point":         func(f *Fan) { f.Points = f.Points[:1] },
		"not a number":           func(f *Fan) { f.Points[3].Median = math.NaN() },
		"no time":                func(f *Fan) { f.Points[2].At = time.Time{} },
		"out of order":           func(f *Fan) { f.Points[2].At = f.Points[1].At },
		"inner band outside":     func(f *Fan) { f.Points[2].InnerHigh = f.Points[2].OuterHigh + 1 },
		"median above its bands": func(f *Fan) { f.Points[2].Median = f.Points[2].OuterHigh + 1 },
	} {
		f := good
		f.Points = append([]FanPoint(nil), good.Points...)
		spoil(&f)
		if _, err := f.draw(); err == nil {
			t.Errorf("%s: drawn", name)
		}
	}
	if _, err := good.draw(); err != nil {
		t.Error(err)
	}
}
