package yield

import "vinetally/analytics/crop"

// shareOut is what was shared out of one weighing of several pickings, by number of fruit. Of N fruit weighed together n have the mass
// that was shared out to them, plus or minus what sets fruit apart: with variance s² of one fruit's mass that of the share is
// n·(1 − n/N)·s², as of a simple random sample of n out of N whose total is known (Cochran 1977, Sampling Techniques, 3rd ed., section 2.6). The
// shares of all N are the mass itself.
type shareOut struct {
	fruits, together float64
	grams            float64
	basis            *weighings // that tell s², nil if none do
	mixed            bool       // of several stages, grades or cultivars, whose fruit differ by more than chance
}

func (w *Weights) share(cultivar crop.ID, p *crop.Picking, m Mass) shareOut {
	b := shareOut{fruits: float64(*p.Fruits), together: float64(m.Together), grams: m.G, mixed: m.Mixed || !m.OneCultivar}
	if x, _ := w.nearest(cultivar, p.Stage, p.PickedAt.LocalDate()); x != nil && len(x.mass) >= leastWeighings {
		b.basis = x
	}
	return b
}

// plus is two shares of the same weighing together.
func (b shareOut) plus(o shareOut) shareOut {
	if b.together == 0 {
		return o
	}
	b.fruits += o.fruits
	b.grams += o.grams
	if b.basis == nil || o.basis != nil && o.basis.order < b.basis.order {
		b.basis = o.basis
	}
	return b
}

// Shared tells that a part of the mass was shared out of weighings whose other fruit isn't in it.
func (g Grams) Shared() bool {
	for _, b := range g.shares {
		if !b.whole() {
			return true
		}
	}
	return false
}

// whole tells that nothing of the weighing lies elsewhere.
func (b shareOut) whole() bool { return b.fruits >= b.together }

// times is how many times s² the variance of the share is.
func (b shareOut) times() float64 { return b.fruits * (1 - b.fruits/b.together) }

// known tells whether the error of the share can be told.
func (b shareOut) known() bool { return b.whole() || b.basis != nil && !b.mixed }
