package simulate

import (
	"math"
	"math/rand/v2"
)

// Biology is how fruit ripen on one plant.
type Biology struct {
	// Residences of green, breaker and turning fruit of this plant.
	Residences [Red]Residence
	// Growing and Colouring are the true clocks: days at 20 °C from the start to each hour.
	Growing, Colouring []float64
}

// Fruit lets a fruit live that sets at an hour, as if nothing ever took it.
func (b *Biology) Fruit(truss int, set float64, rng *rand.Rand) Fruit {
	f := Fruit{Truss: truss, Gone: math.Inf(1)}
	f.Enters[Green] = set
	for s := Green; s < Red; s++ {
		clock := b.Colouring
		if s == Green {
			clock = b.Growing
		}
		f.Enters[s+1] = math.Inf(1)
		if !math.IsInf(f.Enters[s], 1) {
			f.Enters[s+1] = hourAt(clock, Count(clock, f.Enters[s])+draw(b.Residences[s], rng))
		}
	}
	return f
}

// Falls is the hour at which a fruit falls that nobody picks: a time by the clock of colouring from when it was ripe. It is +Inf where that isn't
// before the clocks end; no chance is drawn for a fruit that isn't ripe before.
func (b *Biology) Falls(f *Fruit, hold Holding, rng *rand.Rand) float64 {
	if math.IsInf(f.Enters[Red], 1) {
		return math.Inf(1)
	}
	return hourAt(b.Colouring, Count(b.Colouring, f.Enters[Red])+hold.draw(rng))
}

// Holding is how long ripe fruit hang until they fall by themselves: a Weibull distribution with shape 2.5 and a scale in days at 20 °C, of
// which the mean is 0.887. The shape is invented: few fall soon, and hardly any hang for twice the scale.
type Holding struct{ Scale float64 }

func (h Holding) draw(rng *rand.Rand) float64 {
	return h.Scale * math.Pow(-math.Log(1-rng.Float64()), 1/2.5)
}
