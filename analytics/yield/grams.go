package yield

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/crop"
)

// Grams is a mass with what is estimated of it.
type Grams struct {
	Weighed   float64 // g, of what was weighed
	Estimated float64 // g, of fruit that wasn't, from the mean mass of fruit like them
	// Variance is that of Estimated, g²; Sure is false where it isn't known, for want of a second weighing.
	Variance float64
	Sure     bool
	// Missing is the fruit whose mass can't even be estimated.
	Missing int
}

// G is the whole mass, g.
func (g Grams) G() float64 { return g.Weighed + g.Estimated }

// Interval is that of the whole mass at Level, nil where there is none: it isn't below what was weighed.
func (g Grams) Interval() (low, high *float64) {
	if !g.Sure || g.Missing > 0 {
		return nil, nil
	}
	half := distuv.UnitNormal.Quantile(0.5+Level/2) * math.Sqrt(g.Variance)
	return new(math.Max(g.Weighed, g.G()-half)), new(g.G() + half)
}

// Plus is the sum of two masses whose estimates are taken to be independent.
func (g Grams) Plus(o Grams) Grams {
	return Grams{g.Weighed + o.Weighed, g.Estimated + o.Estimated, g.Variance + o.Variance, g.Sure && o.Sure, g.Missing + o.Missing}
}

func (g *Grams) add(o Grams) { *g = g.Plus(o) }

// Weights knows the mean mass of the fruit of a season, by cultivar, stage and week, from the pickings whose fruit were weighed with no others.
//
// With weighings i of n_i fruit and mean mass m_i the mean is m̄ = Σ n_i·m_i/Σ n_i and the variance of one fruit's mass
// s² = Σ n_i·(m_i − m̄)²/(k − 1) over the k weighings. n fruit that weren't weighed are taken for n·m̄, with variance n·s² + n²·s²/Σ n_i.
type Weights struct {
	byWeek, byStage map[weightKey]*weighings
}

type weightKey struct {
	cultivar crop.ID
	stage    string
	week     crop.Date // its Monday; zero for all weeks
}

type weighings struct {
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
	w := &Weights{map[weightKey]*weighings{}, map[weightKey]*weighings{}}
	all := masses(t.Pickings, func(p *crop.Picking) (crop.ID, bool) { return cultivarOf(t, p) })
	for i := range t.Pickings {
		p, m := &t.Pickings[i], all[i]
		cultivar, ok := cultivarOf(t, p)
		if !ok || !m.Known || m.Unshared || m.Mixed || m.Estimated || p.Fruits == nil || *p.Fruits == 0 || p.Grade == crop.Cull {
			continue
		}
		k := weightKey{cultivar, p.Stage, Monday(p.PickedAt.LocalDate())}
		for _, at := range []struct {
			to  map[weightKey]*weighings
			key weightKey
		}{{w.byWeek, k}, {w.byStage, weightKey{k.cultivar, k.stage, crop.Date{}}}} {
			if at.to[at.key] == nil {
				at.to[at.key] = &weighings{}
			}
			x := at.to[at.key]
			x.mass, x.fruits = append(x.mass, m.G), append(x.fruits, float64(*p.Fruits))
		}
	}
	return w
}

// Monday is the first day of a day's ISO 8601 week.
func Monday(d crop.Date) crop.Date {
	weekday := int(d.Noon(utc).Weekday()+6) % 7
	return d.AddDays(-weekday)
}

// Of estimates the mass of fruit that weren't weighed.
func (w *Weights) Of(cultivar crop.ID, stage string, on crop.Date, fruits int) (Grams, Basis) {
	n := float64(fruits)
	if fruits == 0 {
		return Grams{Sure: true}, SameWeek
	}
	basis := SameWeek
	x := w.byWeek[weightKey{cultivar, stage, Monday(on)}]
	if x == nil || len(x.mass) < leastWeighings {
		x, basis = w.byStage[weightKey{cultivar, stage, crop.Date{}}], SameSeason
	}
	if x == nil {
		return Grams{Missing: fruits}, NoBasis
	}
	mean, variance, all := x.stats()
	g := Grams{Estimated: n * mean, Sure: len(x.mass) >= leastWeighings}
	if g.Sure {
		g.Variance = n*variance + n*n*variance/all
	}
	return g, basis
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
