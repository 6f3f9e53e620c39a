package ripening

import (
	"cmp"
	"slices"

	"vinetally/analytics/crop"
)

// Surprise is a count that doesn't agree with what the counts before it and the ripening of the cultivar lead to expect, or a picking or
// loss of more fruit than can have hung by them.
type Surprise struct {
	PlantID crop.ID
	Plant   string // its label
	What    Act
	// VisitID and CountedAt are of the count, or of the last one before the picking or loss.
	VisitID   crop.ID
	CountedAt crop.Moment
	At        crop.Moment
	Since     bool   // the plant was counted again since
	Stage     string // "" for all together
	Seen      float64
	// Expected is the number expected in the stage, for a picking or loss with those beside it; SD is its standard deviation.
	Expected float64
	SD       float64
}

// Act is what was done to the fruit of a surprise.
type Act string

const (
	Counted Act = "counted"
	Picked  Act = "picked"
	Lost    Act = "lost"
)

// Surprises are the records that the model and the records disagree on, the most surprising first.
func (m *Model) Surprises() []Surprise {
	var all []Surprise
	var distance []float64
	for _, v := range m.Cultivars {
		for _, x := range v.fit.surprises {
			p := v.Plants[x.plant]
			s := Surprise{PlantID: p.ID, Plant: p.Label, What: Counted, VisitID: x.visit, Seen: x.seen, Expected: max(0, x.expected), SD: x.sd}
			if x.stage >= 0 {
				s.Stage = v.Stages[x.stage]
			}
			for i := range p.Book.Visits {
				if p.Book.Visits[i].VisitID == x.visit {
					s.CountedAt = p.Book.Visits[i].CountedAt
				}
			}
			s.At, s.Since = s.CountedAt, p.Book.Visits[len(p.Book.Visits)-1].VisitID != x.visit
			if r := x.removal; r != nil {
				s.At, s.What = r.at, Lost
				if r.picked {
					s.What = Picked
				}
			}
			all, distance = append(all, s), append(distance, x.distance)
		}
	}
	order := make([]int, len(all))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(distance[b], distance[a]) })
	sorted := make([]Surprise, len(all))
	for i, k := range order {
		sorted[i] = all[k]
	}
	return sorted
}
