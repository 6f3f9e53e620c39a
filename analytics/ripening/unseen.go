package ripening

import "math"

// unseen is fruit that has set since the last count: how much of it there is and is expected to be ripe by the end of each step, the variance that the
// filter gives to the number, that which is believed, and the part of its standard deviation that plants share: they flower together, so how far what
// has set is from what set lately, as much again or none of it, is much the same on all.
type unseen struct {
	by                         []float64
	filtered, believed, shared float64
}

func (u *unseen) number() float64 { return u.by[len(u.by)-1] }

// setSince takes of each green cohort the part that has set in the last days, evenly. The variance of their fruit is no more than setClusters times the
// mean and the square of it: so that the next count is believed the filter's own is wider on purpose, and with all of it there would be too good a
// chance of none, and a few in a hundred of very many.
func (s *state) setSince(pi [][]float64, steps int, days float64) unseen {
	u := unseen{by: make([]float64, steps)}
	ever := make([]float64, len(pi))
	for i := range s.cohorts {
		x := &s.cohorts[i]
		part := x.after(s.days - days)
		if x.stage > 0 || x.mean <= 0 || part == 0 {
			continue
		}
		ever[i] = part * pi[i][steps-1]
		for k := range u.by {
			u.by[k] += part * x.mean * pi[i][k]
		}
	}
	u.filtered = s.variance(ever)
	u.believed = min(u.filtered, setClusters*u.number()+u.number()*u.number())
	u.shared = min(u.number(), math.Sqrt(u.believed))
	return u
}

// after is the part of a cohort that entered its stage after a moment, in days from the history's start.
func (c *cohort) after(day float64) float64 {
	return above(day, c.begun, c.ended)
}

// add puts the unseen fruit of a plant to that of others.
func (u *unseen) add(o *unseen) {
	u.believed += o.believed + 2*u.shared*o.shared
	u.shared += o.shared
	u.filtered += o.filtered
	for k, n := range o.by {
		u.by[k] += n
	}
}

// left is what is unripe of a number of unseen fruit, and its variance, if a share of it is and each fruit has the same chance.
func (u *unseen) left(share, variance float64) Number {
	n := u.number()
	return Number{share * n, share*n + (variance-n)*share*share}
}
