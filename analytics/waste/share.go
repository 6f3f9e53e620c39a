package waste

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Level is the level of the interval of a share.
const Level = 0.90

// Share is the wasted share of the fruit that ripened. The interval is that of a ratio of sums with plants as clusters (Cochran 1977, section 6.4):
// se² = n/(n − 1)·Σ (w_i − r·x_i)²/(Σ x_i)² over n plants, with Student's t on n − 1 degrees of freedom, kept within 0 and 1. Low and High are
// nil of fewer than four plants, and where none or all of it was wasted.
type Share struct {
	Value     float64
	Low, High *float64
	Plants    int
}

// fewPlants is how many plants an interval wants.
const fewPlants = 4

func shareOf(plants []*Plant, s *Sum) *Share {
	if s.Ripened == 0 {
		return nil
	}
	out := &Share{Value: float64(s.Wasted) / float64(s.Ripened), Plants: len(plants)}
	n := float64(len(plants))
	wasted, ripened := 0.0, 0.0
	for _, p := range plants {
		wasted, ripened = wasted+float64(p.Wasted), ripened+float64(p.Ripened)
	}
	if len(plants) < fewPlants || wasted == 0 || wasted == ripened {
		return out
	}
	r, squares := wasted/ripened, 0.0
	for _, p := range plants {
		d := float64(p.Wasted) - r*float64(p.Ripened)
		squares += d * d
	}
	half := math.Sqrt(n/(n-1)*squares) / ripened * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n - 1}.Quantile(0.5+Level/2)
	out.Low, out.High = new(max(0, out.Value-half)), new(min(1, out.Value+half))
	return out
}
