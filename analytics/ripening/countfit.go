package ripening

import (
	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/crop"
	"vinetally/analytics/internal/parallel"
	"vinetally/analytics/ledger"
)

// CountFit is how a count fits what is expected of it by the other records: those before it and the counts just after, with the parameters that the whole
// season tells.
type CountFit struct {
	VisitID crop.ID
	// Rows are all rows of the visit, VisitID the first.
	Rows      []crop.ID
	CountedAt crop.Moment
	Numbers   []NumberFit
	// Squared is the squared deviation e'S⁻¹e of all numbers together from what was expected, in standard deviations, S being their covariance.
	Squared float64
	// Chance is that of a count at least so far off: by the χ² distribution with as many degrees of freedom as there are numbers that can vary. A number of
	// none where none is expected can't; it counts as the share of its variance that the model of a count knows of. Few fruit don't follow χ² closely.
	Chance float64
}

// NumberFit is one number of a count, of the trusses that were looked at.
type NumberFit struct {
	Stage              string // "" for all together
	Seen, Expected, SD float64
}

func (c *CountFit) chance() float64 {
	free := 0.0
	for _, n := range c.Numbers {
		free += 1 - leastVariance/(n.SD*n.SD)
	}
	return distuv.ChiSquared{K: max(1, free)}.Survival(c.Squared)
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

// ExpectedWords say what is expected of a count.
const ExpectedWords = "Expected is what the plant's other records let expect: those before the count, and up to two counts after it."

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
		if c.Chance < Unlikely {
			s.Unlikely++
		}
	}
}

// CountFits leaves each count of the season out in turn. They are by plant, as in Plants; none of a first count, before which there is but a guess, nor
// of one after so long a silence that it is as good as first, nor of one that gives but lower bounds: these say nothing here. Only is the one plant that
// is asked for, or nil.
func (m *Model) CountFits(only *crop.ID) [][]CountFit {
	all := make([][]CountFit, len(m.Plants))
	parallel.With(len(m.Plants), func() func(int) {
		pass, t := newPasser(), &tape{}
		pass.obs.plain = true
		return func(i int) {
			if p := m.Plants[i]; p.history != nil && (only == nil || p.ID == *only) {
				all[i] = pass.countFits(p, t)
			}
		}
	})
	return all
}

func (p *passer) countFits(plant *Plant, t *tape) []CountFit {
	visits := map[crop.ID]*ledger.Entry{}
	for i := range plant.Book.Visits {
		visits[plant.Book.Visits[i].VisitID] = &plant.Book.Visits[i]
	}
	c := plant.Cultivar.fit.chain(plant.index)
	p.run(plant.history, &c, t)
	var all []CountFit
	for _, x := range p.leaveOut(plant.history, &c, t) {
		k := plant.history.events[x.event].count
		v := visits[k.visit]
		f := CountFit{VisitID: k.visit, Rows: v.Rows, CountedAt: v.CountedAt, Squared: x.squared}
		for n, a := range x.numbers {
			number := NumberFit{Seen: k.seen[a].fruits, Expected: max(0, x.expected[n]), SD: x.sd[n]}
			if s := k.seen[a].stage; s >= 0 {
				number.Stage = plant.Cultivar.Stages[s]
			}
			f.Numbers = append(f.Numbers, number)
		}
		f.Chance = f.chance()
		all = append(all, f)
	}
	return all
}
