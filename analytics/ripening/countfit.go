package ripening

import (
	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/crop"
	"vinetally/analytics/internal/parallel"
)

// CountFit is how a count fits what was expected of it: by the records before it, with the parameters that the whole season tells.
type CountFit struct {
	VisitID   crop.ID
	CountedAt crop.Moment
	Numbers   []NumberFit
	// Squared is the squared deviation e'S⁻¹e of all numbers together from what was expected, in standard deviations, S being their covariance: about χ²
	// with as many degrees of freedom as there are numbers if the model holds and fruit are many, less where none are expected in most stages: 0.4 to 0.6 a
	// number in simulated trials.
	Squared float64
}

// NumberFit is one number of a count, of the trusses that were looked at.
type NumberFit struct {
	Stage              string // "" for all together
	Seen, Expected, SD float64
}

// Chance is that of a count at least so far off, by the χ² distribution.
func (c *CountFit) Chance() float64 {
	return distuv.ChiSquared{K: float64(len(c.Numbers))}.Survival(c.Squared)
}

// Of is the number of a stage, if it was counted.
func (c *CountFit) Of(stage string) (NumberFit, bool) {
	for _, n := range c.Numbers {
		if n.Stage == stage {
			return n, true
		}
	}
	return NumberFit{}, false
}

// Unlikely is the chance below which a count is unlikely: one in twenty is at most if the model holds.
const Unlikely = 0.05

// FitWords say how to read it.
const FitWords = "Expected is what the records before a count let expect with the parameters of the whole season, so counts fit a little better than they were foreseen. A count that doesn't fit may be a slip, or more was picked, lost or moved than was written down."

// FitSum is how the counts of some plants fit together.
type FitSum struct {
	Counts, Numbers, Unlikely int
	Squared                   float64
}

// Add adds counts.
func (s *FitSum) Add(counts []CountFit) {
	for i := range counts {
		c := &counts[i]
		s.Counts, s.Numbers, s.Squared = s.Counts+1, s.Numbers+len(c.Numbers), s.Squared+c.Squared
		if c.Chance() < Unlikely {
			s.Unlikely++
		}
	}
}

// CountFits goes through the season once more. They are by plant, as in Plants; none of a first count, before which there is but a guess, nor of one
// after so long a silence that it is as good as first.
func (m *Model) CountFits() [][]CountFit {
	all := make([][]CountFit, len(m.Plants))
	parallel.With(len(m.Plants), func() func(int) {
		pass, t := newPasser(), &tape{}
		return func(i int) {
			if p := m.Plants[i]; p.history != nil {
				all[i] = pass.countFits(p, t)
			}
		}
	})
	return all
}

func (p *passer) countFits(plant *Plant, t *tape) []CountFit {
	at := map[crop.ID]crop.Moment{}
	for i := range plant.Book.Visits {
		v := &plant.Book.Visits[i]
		at[v.VisitID] = v.CountedAt
	}
	var all []CountFit
	p.counted = func(k *count, w *weighed) {
		if k.first {
			return
		}
		c := CountFit{VisitID: k.visit, CountedAt: at[k.visit], Squared: p.obs.distance}
		for a := range k.seen {
			if w.skip[a] {
				continue
			}
			seen, expected, sd := p.obs.number(k, a)
			n := NumberFit{Seen: seen, Expected: max(0, expected), SD: sd}
			if s := k.seen[a].stage; s >= 0 {
				n.Stage = plant.Cultivar.Stages[s]
			}
			c.Numbers = append(c.Numbers, n)
		}
		if len(c.Numbers) > 0 {
			all = append(all, c)
		}
	}
	c := plant.Cultivar.fit.chain(plant.index)
	p.run(plant.history, &c, t)
	p.counted = nil
	return all
}
