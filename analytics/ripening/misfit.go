package ripening

import (
	"cmp"
	"math"
	"slices"

	"vinetally/analytics/crop"
)

// Furthest is the number that is furthest off by itself, in standard deviations.
func (c *CountFit) Furthest() NumberFit {
	return slices.MaxFunc(c.Numbers, func(a, b NumberFit) int { return cmp.Compare(a.off(), b.off()) })
}

func (n *NumberFit) off() float64 { return math.Abs(n.Seen-n.Expected) / n.SD }

// Unlikely is the chance below which a count is unlikely. Of simulated counts that are right two to four in a hundred are: where few fruit are expected the
// true chance is higher.
const Unlikely = 0.05

// MisfitWords say what to make of one.
const MisfitWords = "A count that doesn't fit may be a slip, or one beside it may be, or more or less was picked, lost or moved than was written down; by chance alone about 3 in 100 right counts are as far off."

// Misfit is a count that is unlikely.
type Misfit struct {
	PlantID crop.ID
	Plant   string // its label
	*CountFit
}

// Misfits are the unlikely ones of the counts of CountFits, the least likely first.
func (m *Model) Misfits(all [][]CountFit) []Misfit {
	var misfits []Misfit
	for i, counts := range all {
		for k := range counts {
			if counts[k].Chance < Unlikely {
				misfits = append(misfits, Misfit{m.Plants[i].ID, m.Plants[i].Label, &counts[k]})
			}
		}
	}
	slices.SortStableFunc(misfits, func(a, b Misfit) int {
		return cmp.Or(cmp.Compare(a.Chance, b.Chance), cmp.Compare(b.Squared, a.Squared))
	})
	return misfits
}
