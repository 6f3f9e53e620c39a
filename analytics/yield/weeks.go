package yield

import (
	"slices"

	"vinetally/analytics/crop"
)

// Week is what was picked in one ISO 8601 week. Weeks in which nothing was picked have none.
type Week struct {
	Monday            crop.Date
	Fruits            int
	Marketable, Culls int
	Grams             Grams
}

// weekSums adds up pickings by the Monday of their week.
type weekSums map[crop.Date]*Week

func (s weekSums) add(p *crop.Picking, g Grams) {
	monday := p.PickedAt.LocalDate().Monday()
	w := s[monday]
	if w == nil {
		w = &Week{Monday: monday, Grams: Grams{Sure: true}}
		s[monday] = w
	}
	w.Grams.add(g)
	if p.Fruits == nil {
		return
	}
	w.Fruits += *p.Fruits
	if p.Grade == crop.Cull {
		w.Culls += *p.Fruits
	} else {
		w.Marketable += *p.Fruits
	}
}

func (s weekSums) inOrder() []Week {
	out := make([]Week, 0, len(s))
	for _, w := range s {
		out = append(out, *w)
	}
	slices.SortFunc(out, func(a, b Week) int { return a.Monday.Compare(b.Monday) })
	return out
}

// Marketable is the mass of all marketable fruit that was picked in a season, whole units included.
func Marketable(t *crop.Trial) Grams {
	weights, all := NewWeights(t), massesOf(t)
	sum := Grams{Sure: true}
	for i := range t.Pickings {
		p := &t.Pickings[i]
		if cultivar, ok := cultivarOf(t, p); ok && p.Grade != crop.Cull {
			sum.add(weights.picking(cultivar, p, all[i]))
		}
	}
	return sum
}

// weekly adds up the pickings of each cultivar.
func weekly(t *crop.Trial) map[crop.ID][]Week {
	weights, all := NewWeights(t), massesOf(t)
	sums := map[crop.ID]weekSums{}
	for i := range t.Pickings {
		p := &t.Pickings[i]
		cultivar, ok := cultivarOf(t, p)
		if !ok {
			continue
		}
		if sums[cultivar] == nil {
			sums[cultivar] = weekSums{}
		}
		sums[cultivar].add(p, weights.picking(cultivar, p, all[i]))
	}
	out := map[crop.ID][]Week{}
	for cultivar, weeks := range sums {
		out[cultivar] = weeks.inOrder()
	}
	return out
}
