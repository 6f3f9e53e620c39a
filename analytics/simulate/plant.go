package simulate

import (
	"math"
	"math/rand/v2"

	"vinetally/analytics/crop"
)

// Plant is the truth about one plant.
type Plant struct {
	ID       crop.ID
	Cultivar int
	Fruits   []Fruit
	Biology
}

// drawPlant grows the fruit of a plant as if nobody touched them.
func drawPlant(number int, v *Cultivar, air []float64, rng *rand.Rand) Plant {
	plant := Plant{Cultivar: number, Biology: v.Biology(math.Exp(PlantSpread*rng.NormFloat64()), air)}
	truss := 0
	flower := 44 + 3*rng.NormFloat64() // day from sowing
	for flush, left := 0, 3+rng.IntN(5); flush < 3; {
		for range 2 + rng.IntN(6) {
			f := plant.Fruit(truss, (flower+6*rng.Float64())*hoursADay, rng)
			f.abort(rng)
			plant.Fruits = append(plant.Fruits, f)
		}
		truss++
		flower += 2 + 5*rng.Float64()
		if left--; left == 0 {
			flush, left = flush+1, 2+rng.IntN(4)
			flower += 15 + 20*rng.Float64()
		}
	}
	return plant
}

// abort drops a few fruit when they are small.
func (f *Fruit) abort(rng *rand.Rand) {
	if rng.Float64() < 0.03 {
		f.Gone, f.Fate = f.Enters[Green]+(2+8*rng.Float64())*hoursADay, Aborted
	}
}
