package thermal

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// TestSparseReadings: readings by hand at the same hours of each day, half an hour either way and rounded to a degree, beside hourly ones of the same
// invented air, in sums over weeks. What they are out by in the mean, and how much that varies from week to week, is what
// SparseGap says.
func TestSparseReadings(t *testing.T) {
	const noLimit = math.MaxFloat64
	cases := []struct {
		name          string
		hours         []float64
		halfRange     float64 // of a day, °C; its highest is about 15 h, its lowest about 3 to 6 h
		meanAt, varAt float64 // at most
		sparse        bool
	}{
		{"every six hours", []float64{0, 6, 12, 18}, 2, 0.01, 0.012, true},
		{"every six hours, open air", []float64{0, 6, 12, 18}, 8, 0.06, 0.02, true},
		{"morning and evening", []float64{7, 19}, 2, 0.03, 0.022, true},
		{"morning and evening, open air", []float64{7, 19}, 8, 0.06, 0.06, true},
		{"lowest and highest", []float64{6, 15}, 2, 0.055, 0.022, true},
		{"lowest and highest, open air", []float64{6, 15}, 8, 0.2, 0.06, true},
		{"noon and evening, open air", []float64{12, 20}, 8, 0.3, 0.06, true},
		{"once a day, open air", []float64{14}, 8, noLimit, noLimit, false},
	}
	rate := Growing()
	for _, c := range cases {
		rng := rand.New(rand.NewPCG(1, 2))
		var out []float64
		for range 60 {
			hourly, byHand := sameAir(rng, c.hours, c.halfRange)
			a, b := NewClock(rate.At, hourly), NewClock(rate.At, byHand)
			for week := range 3 {
				from := hourly[0].At.Add(time.Duration(3+7*week) * day)
				x, y := a.Between(from, from.Add(7*day)), b.Between(from, from.Add(7*day))
				if x.Measured != 7*day || y.Measured > day/2 || y.Measured+y.Filled != 7*day {
					t.Fatalf("%s: measured %v hourly and %v by hand, filled %v", c.name, x.Measured, y.Measured, y.Filled)
				}
				if c.sparse != (y.Sparse > 13*day/2) || y.Sparse > y.Filled {
					t.Fatalf("%s: %v in gaps of at most %v", c.name, y.Sparse, SparseGap)
				}
				out = append(out, y.Count/x.Count-1)
			}
		}
		mean, sd := meanAndSD(out)
		t.Logf("%s: out by %.3f, SD %.3f", c.name, mean, sd)
		if math.Abs(mean) > c.meanAt || sd > c.varAt {
			t.Errorf("%s: out by %.3f in the mean and %.3f from week to week", c.name, mean, sd)
		}
	}
}

// sameAir is four weeks of invented air of 20 °C in the mean, read every hour and at some hours.
func sameAir(rng *rand.Rand, hours []float64, halfRange float64) (hourly, byHand []Reading) {
	start := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	level, half := 0.0, halfRange
	for h := range 28*24 + 1 {
		if h%24 == 0 {
			level, half = 0.8*level+1.2*rng.NormFloat64(), halfRange*(0.5+rng.Float64())
		}
		turn := 2 * math.Pi * float64(h%24-15) / 24
		hourly = append(hourly, Reading{start.Add(time.Duration(h) * time.Hour), 20 + level + half*math.Cos(turn) + half/4*math.Cos(2*turn)})
	}
	for d := range 28 {
		for _, h := range hours {
			r := hourly[24*d+int(max(0, math.Round(h+rng.NormFloat64()/2)))]
			byHand = append(byHand, Reading{r.At, math.Round(r.AirC)})
		}
	}
	return hourly, byHand
}

func meanAndSD(x []float64) (mean, sd float64) {
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		sd += (v - mean) * (v - mean) / float64(len(x)-1)
	}
	return mean, math.Sqrt(sd)
}
