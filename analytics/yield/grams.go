package yield

import (
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/crop"
)

// Grams is a mass with what is estimated of it.
type Grams struct {
	Weighed   float64 // g, of what was weighed
	Estimated float64 // g, of fruit that wasn't, from the mean mass of fruit like them
	// Sure is false where the variance of Estimated isn't known, for want of a second weighing.
	Sure bool
	// Missing is the fruit whose mass can't even be estimated.
	Missing int
	// from is how many fruit were estimated from the mean of which weighings: the error of one mean is the same error in all that
	// was estimated from it.
	from map[*weighings]float64
	// shares are parts of Weighed, by the label of the weighing that each was shared out of.
	shares map[string]shareOut
}

// Variance is that of the whole mass, g²: Σ n·s² + n²·s²/Σ n_i over the means that estimates come from, n fruit from each, and
// Σ n·(1 − n/N)·s² over the weighings that n fruit of N were shared out of.
func (g Grams) Variance() float64 {
	variance, _ := g.spread()
	return variance
}

// spread is the variance and its degrees of freedom: each s² has those of its weighings, k − 1, and their sum the effective ones of
// Satterthwaite (1946, Biometrics Bulletin 2:110–114), (Σ v)²/Σ (v²/(k − 1)) over the parts v.
func (g Grams) spread() (variance, freedom float64) {
	times := map[*weighings]float64{} // its s²
	for x, n := range g.from {
		_, _, all := x.stats()
		times[x] += n + n*n/all
	}
	// In one order, so that the same fruit give the same last digit.
	for _, label := range slices.Sorted(maps.Keys(g.shares)) {
		if b := g.shares[label]; b.basis != nil {
			times[b.basis] += b.times()
		}
	}
	squares := 0.0
	for _, x := range slices.SortedFunc(maps.Keys(times), func(a, b *weighings) int { return a.order - b.order }) {
		_, one, _ := x.stats()
		v := times[x] * one
		variance += v
		if v > 0 {
			squares += v * v / float64(len(x.mass)-1)
		}
	}
	return variance, variance * variance / squares
}

// G is the whole mass, g.
func (g Grams) G() float64 { return g.Weighed + g.Estimated }

// Interval is that of the whole mass at Level, with Student's t; it isn't below what was weighed by itself. It is nil where there is none:
// where fruit is missing, and where nothing tells how much fruit differ that were estimated or shared out.
func (g Grams) Interval() (low, high *float64) {
	if !g.Sure || g.Missing > 0 {
		return nil, nil
	}
	floor := g.Weighed
	for _, b := range g.shares {
		if !b.known() {
			return nil, nil
		}
		floor -= b.grams
	}
	half := 0.0
	if variance, freedom := g.spread(); variance > 0 {
		half = distuv.StudentsT{Mu: 0, Sigma: 1, Nu: freedom}.Quantile(0.5+Level/2) * math.Sqrt(variance)
	}
	if half == 0 {
		floor = g.G() // all of it was weighed, whatever the order of the sums
	}
	return new(math.Max(floor, g.G()-half)), new(g.G() + half)
}

// Plus is the sum of two masses.
func (g Grams) Plus(o Grams) Grams {
	sum := Grams{Weighed: g.Weighed + o.Weighed, Estimated: g.Estimated + o.Estimated, Sure: g.Sure && o.Sure, Missing: g.Missing + o.Missing}
	for _, from := range []map[*weighings]float64{g.from, o.from} {
		for x, n := range from {
			if sum.from == nil {
				sum.from = map[*weighings]float64{}
			}
			sum.from[x] += n
		}
	}
	for _, shares := range []map[string]shareOut{g.shares, o.shares} {
		for label, b := range shares {
			if sum.shares == nil {
				sum.shares = map[string]shareOut{}
			}
			sum.shares[label] = sum.shares[label].plus(b)
		}
	}
	return sum
}

func (g *Grams) add(o Grams) { *g = g.Plus(o) }

// Weights knows the mean mass of the fruit of a season, by cultivar, stage and week, from the pickings whose fruit were weighed with no others.
//
// With weighings i of n_i fruit and mean mass m_i the mean is m̄ = Σ n_i·m_i/Σ n_i and the variance of one fruit's mass
// s² = Σ n_i·(m_i − m̄)²/(k − 1) over the k weighings. n fruit that weren't weighed are taken for n·m̄, with variance n·s² + n²·s²/Σ n_i.
type Weights struct {
	byWeek, byStage map[weightKey]*weighings
	masses          map[crop.ID]Mass // by picking
}

type weightKey struct {
	cultivar crop.ID
	stage    string
	week     crop.Date // its Monday; zero for all weeks
}

type weighings struct {
	order        int       // in which they were first met
	mass, fruits []float64 // of each weighing
}

// Basis says what an estimate of a mass was made from.
type Basis int

// The bases, nearest first.
const (
	NoBasis Basis = iota
	SameWeek
	SameSeason // of the cultivar and stage, any week
)

// leastWeighings is how many weighings of the same week an estimate wants before it looks at the whole season.
const leastWeighings = 2

// NewWeights gathers the weighings of a season.
func NewWeights(t *crop.Trial) *Weights {
	w := &Weights{map[weightKey]*weighings{}, map[weightKey]*weighings{}, map[crop.ID]Mass{}}
	all := massesOf(t)
	for i := range t.Pickings {
		p, m := &t.Pickings[i], all[i]
		w.masses[p.ID] = m
		cultivar, ok := cultivarOf(t, p)
		if !ok || !m.Known || m.Unshared || m.Mixed || m.Estimated || p.Fruits == nil || *p.Fruits == 0 || p.Grade == crop.Cull {
			continue
		}
		k := weightKey{cultivar, p.Stage, p.PickedAt.LocalDate().Monday()}
		for _, at := range []struct {
			to  map[weightKey]*weighings
			key weightKey
		}{{w.byWeek, k}, {w.byStage, weightKey{k.cultivar, k.stage, crop.Date{}}}} {
			if at.to[at.key] == nil {
				at.to[at.key] = &weighings{order: len(w.byWeek) + len(w.byStage)}
			}
			x := at.to[at.key]
			x.mass, x.fruits = append(x.mass, m.G), append(x.fruits, float64(*p.Fruits))
		}
	}
	return w
}

// Picked is the mass of a picking of the season, estimated where it wasn't weighed.
func (w *Weights) Picked(cultivar crop.ID, p *crop.Picking) Grams {
	return w.picking(cultivar, p, w.masses[p.ID])
}

// Of estimates the mass of fruit that weren't weighed.
func (w *Weights) Of(cultivar crop.ID, stage string, on crop.Date, fruits int) (Grams, Basis) {
	n := float64(fruits)
	if fruits == 0 {
		return Grams{Sure: true}, SameWeek
	}
	x, basis := w.nearest(cultivar, stage, on)
	if x == nil {
		return Grams{Missing: fruits}, NoBasis
	}
	mean, _, _ := x.stats()
	return Grams{Estimated: n * mean, Sure: len(x.mass) >= leastWeighings, from: map[*weighings]float64{x: n}}, basis
}

// nearest are the weighings of the same week if there are enough, else those of the season; nil if there are none.
func (w *Weights) nearest(cultivar crop.ID, stage string, on crop.Date) (*weighings, Basis) {
	if x := w.byWeek[weightKey{cultivar, stage, on.Monday()}]; x != nil && len(x.mass) >= leastWeighings {
		return x, SameWeek
	}
	if x := w.byStage[weightKey{cultivar, stage, crop.Date{}}]; x != nil {
		return x, SameSeason
	}
	return nil, NoBasis
}

// picking is the mass of one picking, estimated where it wasn't weighed. The mass of one that was weighed with another stands there; neither
// of the two is then sure.
func (w *Weights) picking(cultivar crop.ID, p *crop.Picking, m Mass) Grams {
	switch {
	case m.Known && m.Together > 0:
		return Grams{Weighed: m.G, Sure: true, shares: map[string]shareOut{p.Weighing: w.share(cultivar, p, m)}}
	case m.Known:
		return Grams{Weighed: m.G, Sure: !m.Unshared}
	case m.Elsewhere:
		return Grams{}
	case p.Fruits == nil:
		return Grams{Sure: true}
	}
	g, _ := w.Of(cultivar, p.Stage, p.PickedAt.LocalDate(), *p.Fruits)
	return g
}

func (x *weighings) stats() (mean, variance, fruits float64) {
	mass := 0.0
	for i := range x.mass {
		mass, fruits = mass+x.mass[i], fruits+x.fruits[i]
	}
	mean = mass / fruits
	for i := range x.mass {
		d := x.mass[i]/x.fruits[i] - mean
		variance += x.fruits[i] * d * d
	}
	if k := len(x.mass); k > 1 {
		variance /= float64(k - 1)
	}
	return mean, variance, fruits
}
