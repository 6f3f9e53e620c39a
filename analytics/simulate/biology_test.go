package simulate

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

var usual = Cultivar{
	Means: [Red]float64{42, 2.6, 5.5}, Shapes: [Red]Shape{{LogNormal, 0.09}, {Gamma, 0.35}, {Weibull, 0.3}},
	Growing: usualGrowing, Colouring: usualColouring,
}

func steadyAir(c float64) []float64 { return slices.Repeat([]float64{c}, 200*hoursADay) }

// TestOneFruitAtTwoTemperatures: the same fruit takes 1/0.48 as long to its first colour at 14 °C as at 20 °C, and from then on by the other clock; on a
// plant that takes 1.1 times as long all is 1.1 times as long.
func TestOneFruitAtTwoTemperatures(t *testing.T) {
	live := func(times, c float64) (days [Red + 1]float64) {
		b := usual.Biology(times, steadyAir(c))
		rng := rand.New(rand.NewPCG(1, 2))
		f := b.Fruit(3, 30, rng)
		if f.Truss != 3 || !math.IsInf(f.Gone, 1) || f.Enters[Green] != 30 {
			t.Errorf("a fruit is %+v", f)
		}
		for s := range Red {
			days[s] = (f.Enters[s+1] - f.Enters[s]) / hoursADay
		}
		days[Red] = (b.Falls(&f, Holding{Scale: 22}, rng) - f.Enters[Red]) / hoursADay
		return days
	}
	at20, at14, slower := live(1, 20), live(1, 14), live(1.1, 20)
	for s := range at20 {
		rate, times := usualColouring.At(14), 1.1
		switch s {
		case Green:
			rate = usualGrowing.At(14)
		case Red: // falling is no matter of the plant
			times = 1
		}
		if math.Abs(at14[s]*rate-at20[s]) > 1e-6 || math.Abs(slower[s]-times*at20[s]) > 1e-6 {
			t.Errorf("stage %d takes %v days at 20 °C, %v at 14 °C (rate %v), %v on the slower plant", s, at20[s], at14[s], rate, slower[s])
		}
	}
}

// TestFruitBeyondTheEnd: what doesn't come before the air ends never comes.
func TestFruitBeyondTheEnd(t *testing.T) {
	b := usual.Biology(1, steadyAir(20))
	f := b.Fruit(0, 190*hoursADay, rand.New(rand.NewPCG(1, 2)))
	if !math.IsInf(f.Enters[Breaker], 1) || !math.IsInf(f.Enters[Red], 1) || !math.IsInf(b.Falls(&f, Holding{Scale: 22}, nil), 1) {
		t.Errorf("a fruit that sets ten days before the end is %+v", f)
	}
}

// TestHolding: ripe fruit hang 0.887 of the scale on average.
func TestHolding(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	const n = 40000
	sum := 0.0
	for range n {
		sum += Holding{Scale: 20}.draw(rng)
	}
	if got, want := sum/n, 20*0.887; math.Abs(got-want) > 0.16 { // four standard errors; the standard deviation is 7.6
		t.Errorf("mean %v, want %v", got, want)
	}
}
