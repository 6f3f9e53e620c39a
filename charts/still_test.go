package charts

import (
	"encoding/xml"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// stillOf draws a figure without a script and reads it as XML, which fails on anything unescaped.
func stillOf(t *testing.T, f Figure) string {
	t.Helper()
	d, err := f.draw()
	if err != nil {
		t.Fatal(err)
	}
	picture := string(stillPicture(d, "test-still", "What it <shows>."))
	if err := xml.Unmarshal([]byte(picture), new(struct {
		XMLName xml.Name `xml:"svg"`
	})); err != nil {
		t.Errorf("not well-formed: %v", err)
	}
	for _, wrong := range []string{"NaN", "Inf", "$c:", "$fn:", `""`} {
		if strings.Contains(picture, wrong) {
			t.Errorf("the picture holds %s", wrong)
		}
	}
	return picture
}

func numbersOf(t *testing.T, picture, pattern string) (out []float64) {
	t.Helper()
	for _, m := range regexp.MustCompile(pattern).FindAllStringSubmatch(picture, -1) {
		n, err := strconv.ParseFloat(m[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, n)
	}
	return out
}

// TestStillBars: bars are as long as their values, stacked ones begin where the one before ends, and what isn't known has none.
func TestStillBars(t *testing.T) {
	f := Bars{Title: "Lost", Unit: "fruit", Layout: Stacked, Rows: []string{"split <b>", "rotted & gone", "dropped"}, Series: []BarSeries{
		{Name: "ripe", Tone: ToneRipe, Values: []*float64{new(2.0), new(4.0), nil}},
		{Name: "unripe", Tone: ToneUnripe, Values: []*float64{new(6.0), new(1.0), new(3.0)}},
	}}
	picture := stillOf(t, f)
	bars := strings.Join(regexp.MustCompile(`class="bar" d="[^"]*"`).FindAllString(picture, -1), "")
	wide, from := numbersOf(t, bars, `h([0-9.]+)v`), numbersOf(t, bars, `M([0-9.]+) `)
	if len(wide) != 5 {
		t.Fatalf("%d bars, want 5", len(wide))
	}
	unit := wide[0] / 2
	for i, want := range []float64{2, 4, 6, 1, 3} {
		if math.Abs(wide[i]-want*unit) > 0.2 {
			t.Errorf("bar %d is %v wide, want %v times %v", i+1, wide[i], want, unit)
		}
	}
	if math.Abs(from[2]-from[0]-wide[0]) > 0.2 || math.Abs(from[4]-from[0]) > 0.01 {
		t.Errorf("bars begin at %v", from)
	}
	if !strings.Contains(picture, "split &lt;b&gt;") || !strings.Contains(picture, "url(#hatch-") {
		t.Error("a name isn't there, or no pattern")
	}
}

// TestStillAreas: areas are stacked, with a gap where a stage wasn't counted.
func TestStillAreas(t *testing.T) {
	day := func(n int) time.Time { return time.Date(2026, 7, n, 12, 0, 0, 0, time.UTC) }
	visit := func(n int, green, red *float64) StageVisit {
		return StageVisit{At: day(n), Standing: []*float64{green, red}}
	}
	f := StageAreas{Stages: []Stage{{Name: "green"}, {Name: "red", Ripe: true}}, Visits: []StageVisit{
		visit(1, new(10.0), new(0.0)), visit(3, new(6.0), new(4.0)), visit(5, nil, new(5.0)), visit(7, new(1.0), new(9.0)), visit(9, new(0.0), new(10.0))}}
	picture := stillOf(t, f)
	lines := regexp.MustCompile(`class="line"[^>]* d="([^"]*)"`).FindAllStringSubmatch(picture, -1)
	if len(lines) != 3 { // red in one piece, green in two
		t.Fatalf("%d lines, want 3", len(lines))
	}
	heights := func(path string) (out []float64) {
		y := 0.0
		for _, step := range numbersOf(t, path, `[Ml]-?[0-9.]+ ?(-?[0-9.]+)`) {
			y += step
			out = append(out, y)
		}
		return out
	}
	red, first, second := heights(lines[0][1]), heights(lines[1][1]), heights(lines[2][1])
	if len(red) != 5 || len(first) != 2 || len(second) != 2 {
		t.Fatalf("pieces of %d, %d and %d points, want 5, 2 and 2", len(red), len(first), len(second))
	}
	// Ten fruit stood at each of the four complete counts, so the topmost line is level there, and as high as ten red ones.
	for _, y := range append(append([]float64{}, first...), second...) {
		if math.Abs(y-red[4]) > 0.11 {
			t.Errorf("the sum of ten stands at %v, ten red at %v", y, red[4])
		}
	}
	if fall := red[0] - red[4]; math.Abs((red[0]-red[1])-0.4*fall) > 0.2 {
		t.Errorf("four red stand %v high, ten %v", red[0]-red[1], fall)
	}
}

// TestStillIsShort: single plants of a large season are left to the tables, so that the page doesn't grow with them.
func TestStillIsShort(t *testing.T) {
	day := time.Date(2026, 7, 1, 12, 0, 0, 0, time.UTC)
	f := Cumulative{Title: "Picked so far", Unit: "g", Groups: []YieldLine{{Name: "A", Points: []Point{{day, 1}, {day.AddDate(0, 0, 9), 90}}}}}
	for i := range 1000 {
		f.Plants = append(f.Plants, PlantLine{YieldLine{fmt.Sprint(i), []Point{{day, 0}, {day.AddDate(0, 0, 3), 1}}}, 0})
	}
	if n := strings.Count(stillOf(t, f), `class="line"`); n != 1 {
		t.Errorf("%d lines, want the group's alone", n)
	}
	f.Plants = f.Plants[:8]
	if n := strings.Count(stillOf(t, f), `class="line"`); n != 9 {
		t.Errorf("%d lines, want the group's and eight plants'", n)
	}
}

// TestStillDays: every span gets one to five or so days, none outside it.
func TestStillDays(t *testing.T) {
	low := time.Date(2026, 2, 3, 5, 0, 0, 0, time.UTC)
	for days := 2; days < 1500; days++ {
		high := low.AddDate(0, 0, days)
		got := stillDays(float64(low.UnixMilli()), float64(high.UnixMilli()))
		if len(got) < 1 || len(got) > 7 {
			t.Fatalf("%d days: %d ticks", days, len(got))
		}
		for _, d := range got {
			if d.Before(low) || d.After(high) {
				t.Fatalf("%d days: a tick on %s", days, d)
			}
		}
	}
}

// TestThinned: the line left passes every point by at most half a unit, and the ends stay.
func TestThinned(t *testing.T) {
	var all []point
	for i := range 200 {
		x := float64(i) * 2
		all = append(all, point{x: x, y: 300 / (1 + math.Exp((x-180)/22))})
	}
	got := thinned(all)
	if len(got) < 8 || len(got) > 60 || got[0] != all[0] || got[len(got)-1] != all[199] {
		t.Fatalf("%d points of 200, from %v to %v", len(got), got[0], got[len(got)-1])
	}
	for _, p := range all {
		i := 1
		for got[i].x < p.x {
			i++
		}
		a, z := got[i-1], got[i]
		if off := math.Abs((z.x-a.x)*(p.y-a.y)-(z.y-a.y)*(p.x-a.x)) / math.Hypot(z.x-a.x, z.y-a.y); off > finest+1e-9 {
			t.Errorf("the line passes %v by %v", p, off)
		}
	}
}

// TestSteadySumsRise: a steady sum is drawn straight from point to point, others level until the next.
func TestSteadySumsRise(t *testing.T) {
	day := time.Date(2026, 7, 1, 12, 0, 0, 0, time.UTC)
	f := Cumulative{Title: "t", Groups: []YieldLine{{Name: "A", Points: []Point{{day, 1}, {day.AddDate(0, 0, 9), 90}}}}}
	line := regexp.MustCompile(`class="line"[^>]* d="([^"]*)"`)
	if d := line.FindStringSubmatch(stillOf(t, f))[1]; !strings.Contains(d, "h") || !strings.Contains(d, "v") {
		t.Errorf("steps are drawn as %s", d)
	}
	f.Steady = true
	if d := line.FindStringSubmatch(stillOf(t, f))[1]; strings.ContainsAny(d, "hv") || !strings.Contains(d, "l") {
		t.Errorf("a steady sum is drawn as %s", d)
	}
}
