package thermal

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

func wave(day float64) float64 { return 21 + 6*math.Sin(2*math.Pi*(day-0.375)) }

// TestSumsMeetTheSine: over a sine wave read every five minutes, the clock's degree-days are those of the closed form of Baskerville and Emin.
func TestSumsMeetTheSine(t *testing.T) {
	for _, limits := range []Thresholds{{10, 30}, {18, 25}, {0, math.Inf(1)}, {26, 40}} {
		want := 30 * Sine(limits, 15, 27)
		var readings []Reading
		for m := 0; m <= 30*24*60; m += 5 {
			readings = append(readings, Reading{start.Add(time.Duration(m) * time.Minute), wave(float64(m) / 24 / 60)})
		}
		got := NewClock(limits.Speed, readings).Between(start, start.AddDate(0, 0, 30)).Count
		if math.Abs(got-want) > 0.002*want {
			t.Errorf("%+v: summed %v, sine %v", limits, got, want)
		}
	}
}

func TestClockAddsUpAndNeverFalls(t *testing.T) {
	random := rand.New(rand.NewPCG(2026, 51))
	for range 200 {
		var readings []Reading
		for at := start; at.Before(start.AddDate(0, 0, 20)); at = at.Add(time.Duration(random.IntN(600)+1) * time.Minute) {
			readings = append(readings, Reading{at, wave(at.Sub(start).Hours()/24) + random.NormFloat64()})
		}
		c := NewClock(Colouring().At, readings)
		instants := make([]time.Time, 30)
		for i := range instants {
			instants[i] = start.Add(time.Duration(random.Float64()*40*24-10*24) * time.Hour).Add(time.Duration(random.IntN(3600)) * time.Second)
		}
		slices.SortFunc(instants, time.Time.Compare)
		var sum Amount
		for i := range instants[1:] {
			part := c.Between(instants[i], instants[i+1])
			if part.Count < 0 || part.StandardError < -1e-12 {
				t.Fatalf("from %v to %v the clock counts %+v", instants[i], instants[i+1], part)
			}
			covered, length := part.Measured+part.Filled+part.Assumed, instants[i+1].Sub(instants[i])
			if (covered - length).Abs() > time.Microsecond {
				t.Fatalf("%v is covered as %v", length, covered)
			}
			sum = sum.plus(part)
		}
		whole := c.Between(instants[0], instants[29])
		if math.Abs(whole.Count-sum.Count) > 1e-9 || whole.Measured-sum.Measured > time.Microsecond {
			t.Fatalf("parts come to %+v, the whole is %+v", sum, whole)
		}
	}
}

// TestOrderZoneAndDoublesDontMatter: readings shuffled, in another zone and given twice make the same clock.
func TestOrderZoneAndDoublesDontMatter(t *testing.T) {
	readings := hourly(20, wave)
	want := NewClock(Growing().At, readings).Between(start, start.AddDate(0, 0, 25))
	other := slices.Concat(readings, readings)
	for i := range other {
		other[i].At = other[i].At.In(time.FixedZone("", 5*3600))
	}
	random := rand.New(rand.NewPCG(2026, 52))
	random.Shuffle(len(other), func(i, j int) { other[i], other[j] = other[j], other[i] })
	if got := NewClock(Growing().At, other).Between(start, start.AddDate(0, 0, 25)); got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

// TestGapsAreFilledWithTheDaysShape: from a week cut out of a wave, the clock misses little; a straight line would not.
func TestGapsAreFilledWithTheDaysShape(t *testing.T) {
	all := hourly(40, wave)
	want := NewClock(Colouring().At, all).Between(start.AddDate(0, 0, 15), start.AddDate(0, 0, 22))
	holed := slices.DeleteFunc(slices.Clone(all), func(r Reading) bool {
		return r.At.After(start.AddDate(0, 0, 15)) && r.At.Before(start.AddDate(0, 0, 22))
	})
	c := NewClock(Colouring().At, holed)
	got := c.Between(start.AddDate(0, 0, 15), start.AddDate(0, 0, 22))
	if math.Abs(got.Count-want.Count) > 0.005*want.Count {
		t.Errorf("filled %v, measured %v", got.Count, want.Count)
	}
	if got.Filled != 7*day || got.Measured != 0 || len(c.Gaps()) != 1 || !c.Gaps()[0].Shaped {
		t.Errorf("the week is told as %+v, gaps %+v", got.Coverage, c.Gaps())
	}
	midnight := 21 + 6*math.Sin(2*math.Pi*-0.375) // both ends of the gap
	rate, _ := Colouring().At(midnight)
	if straight := 7 * rate; math.Abs(straight-want.Count) < 0.1*want.Count {
		t.Errorf("a straight line would have given %v beside %v: the test shows nothing", straight, want.Count)
	}
}

func TestScreening(t *testing.T) {
	odd := func(hour int, airC float64) Reading { return Reading{start.Add(time.Duration(hour) * time.Hour), airC} }
	readings := slices.DeleteFunc(hourly(3, wave), func(r Reading) bool {
		return slices.Contains([]int{7, 10, 20, 30, 40, 50, 60}, int(r.At.Sub(start).Hours()))
	})
	sound := len(readings)
	readings = append(readings, odd(7, math.NaN()), odd(10, -127), odd(20, 85), odd(30, 70), odd(40, 46), odd(50, 39.5), odd(60, -5),
		Reading{start, wave(0)},                                                            // a true double
		Reading{start.Add(90 * time.Minute), 18}, Reading{start.Add(90 * time.Minute), 19}) // two at once
	kept, left := Screen(readings)
	want := []Why{Repeated, Repeated, NoNumber, SensorFault, SensorFault, NotAir, InTheSun, InTheSun, OutOfLine}
	if len(kept) != sound || len(left) != len(want) {
		t.Fatalf("kept %d of %d sound ones, left out %v", len(kept), sound, left)
	}
	for i, l := range left {
		if l.Why != want[i] {
			t.Errorf("%v °C at %v: left out as %q, want %q", l.AirC, l.At, l.Why, want[i])
		}
	}
}

func TestWithoutReadingsTheCalendarCounts(t *testing.T) {
	for _, readings := range [][]Reading{nil, {{start, 20}}, {{start, -127}, {start.Add(time.Hour), math.Inf(1)}}} {
		c := NewClock(Colouring().At, readings)
		got := c.Between(start, start.Add(36*time.Hour))
		if !c.Calendar() || got.Count != 1.5 || got.Assumed != 36*time.Hour || got.Measured != 0 {
			t.Errorf("%d readings: %+v", len(readings), got)
		}
	}
}

// TestOutsideTheReadingsTheirEdgesAreAssumed: a cold first week and a warm last one.
func TestOutsideTheReadingsTheirEdgesAreAssumed(t *testing.T) {
	c := NewClock(Colouring().At, hourly(60, func(day float64) float64 {
		if day < 30 {
			return 15
		}
		return 25
	}))
	early, late := c.Between(start.AddDate(0, 0, -10), start), c.Between(start.AddDate(0, 0, 60), start.AddDate(0, 0, 70))
	cold, _ := Colouring().At(15)
	warm, _ := Colouring().At(25)
	if math.Abs(early.Count-10*cold) > 1e-9 || math.Abs(late.Count-10*warm) > 1e-9 || early.Assumed != 10*day || late.Assumed != 10*day {
		t.Errorf("before: %+v, after: %+v", early, late)
	}
}

func TestAPlantFollowsItsPlaces(t *testing.T) {
	unit, balcony := NewClock(Colouring().At, steady(25, 40)), NewClock(Colouring().At, steady(15, 40))
	moved := start.AddDate(0, 0, 10)
	track := Track{{From: start, Clock: unit}, {From: moved, Clock: balcony}}
	cold, _ := Colouring().At(15)
	warm, _ := Colouring().At(25)
	want := 10*warm + 5*cold
	if got := track.Between(start, moved.AddDate(0, 0, 5)).Count; math.Abs(got-want) > 1e-9 {
		t.Errorf("got %v, want %v", got, want)
	}
	if when, ok := track.When(start, want); !ok || when.Sub(moved.AddDate(0, 0, 5)).Abs() > time.Second {
		t.Errorf("it is reached at %v", when)
	}
	if got := track.Between(moved.AddDate(0, 0, 5), start).Count; math.Abs(got+want) > 1e-9 {
		t.Errorf("backwards: %v", got)
	}
}

// BenchmarkTenYears is a clock over ten years of hourly readings.
func BenchmarkTenYears(b *testing.B) {
	readings := hourly(3653, wave)
	rate := Colouring()
	b.ReportAllocs()
	for b.Loop() {
		NewClock(rate.At, readings)
	}
}
