package thermal

import (
	"math"
	"testing"
	"time"
)

// The published tables come back: Adams, Cockshull and Cave (2001), Annals of Botany 88:869–877, days from flower to ripe at
// 14, 18, 22 and 26 °C; and the days from breaker to red-ripe of the postharvest table (from memory).
func TestConstantTemperaturesTakeThePublishedDays(t *testing.T) {
	for _, c := range []struct {
		rate *Rate
		at20 float64 // days at 20 °C by the curve, the unit of the clock
	}{{Growing(), 0}, {Colouring(), 8}} {
		table := c.rate.Table()
		for i, airC := range table.AirC {
			rate, _ := c.rate.At(airC)
			if c.at20 == 0 {
				c.at20 = table.Days[i] * rate // the first point sets it, the others must agree
			}
			if got := c.at20 / rate; math.Abs(got-table.Days[i]) > 1e-9 {
				t.Errorf("%s at %v °C: %v days, want %v", table.Phase, airC, got, table.Days[i])
			}
			clock := NewClock(c.rate.At, steady(airC, 120))
			when, ok := Track{{Clock: clock}}.When(start, c.at20)
			if got := when.Sub(start).Hours() / 24; !ok || math.Abs(got-table.Days[i]) > 1e-4 {
				t.Errorf("%s at %v °C: the clock says %v days, want %v", table.Phase, airC, got, table.Days[i])
			}
		}
	}
}

var start = time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)

// steady is hourly readings of one temperature.
func steady(airC float64, days int) []Reading {
	return hourly(days, func(float64) float64 { return airC })
}

// hourly is readings from start on of a temperature that is a function of the days since.
func hourly(days int, airC func(day float64) float64) []Reading {
	var all []Reading
	for h := range days*24 + 1 {
		all = append(all, Reading{start.Add(time.Duration(h) * time.Hour), airC(float64(h) / 24)})
	}
	return all
}

func TestRateIsMonotoneFlatAndZeroWhereItShould(t *testing.T) {
	for _, r := range []*Rate{Growing(), Colouring()} {
		before := 0.0
		for airC := -10.0; airC <= 45; airC += 0.01 {
			rate, se := r.At(airC)
			if rate < before || math.IsNaN(rate) || se < 0 || math.IsNaN(se) {
				t.Fatalf("%s at %v °C: %v ± %v after %v", r.Table().Phase, airC, rate, se, before)
			}
			before = rate
		}
		base, warmest := r.Table().BaseC, r.Table().AirC[len(r.Table().AirC)-1]
		cold, _ := r.At(base)
		top, _ := r.At(warmest)
		hot, _ := r.At(40)
		one, se := r.At(ReferenceC)
		if cold != 0 || hot != top || math.Abs(one-1) > 1e-12 || se > 1e-3 {
			t.Errorf("%s: %v at its base, %v at %v °C, %v at 40, %v ± %v at 20", r.Table().Phase, cold, top, warmest, hot, one, se)
		}
	}
}

// TestBasesAreThoseOfTheLines: the constants in the tables are the lines' own.
func TestBasesAreThoseOfTheLines(t *testing.T) {
	for _, c := range []struct {
		table Table
		n     int // points of the straight part
		rough float64
	}{{colouringTable, 6, 7.9}, {growingTable, 3, 6.7}} {
		l, err := FitLine(c.table.AirC[:c.n], c.table.Days[:c.n])
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(l.BaseC-c.table.BaseC) > 1e-9 || math.Abs(l.BaseC-c.rough) > 0.05 {
			t.Errorf("%s: the line has base %.15g, the table says %v, want about %v", c.table.Phase, l.BaseC, c.table.BaseC, c.rough)
		}
	}
}

// An error of half a day in 5 (25 °C) is 0.29/5 of the rate after rounding's variance, and 20 °C has 0.29/8 of its own.
func TestErrorOfTheRateIsThatOfRounding(t *testing.T) {
	rate, se := Colouring().At(25)
	want := rate * math.Hypot(0.5/math.Sqrt(3)/5, 0.5/math.Sqrt(3)/8)
	if math.Abs(se-want) > 0.05*want { // moving a number isn't quite linear
		t.Errorf("got %v, want about %v", se, want)
	}
}
