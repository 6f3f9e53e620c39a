package simulate

import (
	"math"
	"math/rand/v2"
)

// Cultivar is what the plants of a cultivar share: how long their fruit are green, breakers and turning, and how two phases, growing
// until the first colour and colouring from then on, answer to temperature.
type Cultivar struct {
	Means              [Red]float64 // of the residence times, in days at 20 °C
	Shapes             [Red]Shape
	Growing, Colouring Response
}

// PlantSpread is the standard deviation of the logarithm of what a plant's residence times are to its cultivar's.
const PlantSpread = 0.05

// Biology is how fruit ripen on a plant of the cultivar whose residence times are so many times the cultivar's, in the air that it
// stands in: °C at each hour from the start.
func (c *Cultivar) Biology(times float64, air []float64) Biology {
	b := Biology{Growing: Clock(c.Growing, air), Colouring: Clock(c.Colouring, air)}
	for s := range b.Residences {
		b.Residences[s] = c.Shapes[s].Residence(c.Means[s] * times)
	}
	return b
}

func drawCultivar(rng *rand.Rand) Cultivar {
	spread := func(sd float64) float64 { return math.Exp(sd * rng.NormFloat64()) }
	return Cultivar{
		Means:     [Red]float64{42 * spread(0.12), 2.6 * spread(0.2), 5.5 * spread(0.2)},
		Shapes:    [Red]Shape{drawShape(0.09, rng), drawShape(0.35, rng), drawShape(0.3, rng)},
		Growing:   usualGrowing.draw(rng),
		Colouring: usualColouring.draw(rng),
	}
}
