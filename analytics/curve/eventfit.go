package curve

import (
	"math"

	"vinetally/analytics/estimate"
	"vinetally/analytics/survival"
)

// shaped is a family fitted to event times, with its weight among those that are averaged over.
type shaped struct {
	*survival.Line
	shape
	weight float64
}

// events is the event times of a series with the families that describe them, the best first.
type events struct {
	series     series
	points     []mean
	all        []came
	plants     []float64 // fruit of each that wasn't taken early
	fits       []shaped
	candidates []Candidate
	aicc       float64
	phi        float64
	df         int
}

func (e *events) first() mean { return e.points[0] }
func (e *events) last() mean  { return e.points[len(e.points)-1] }

// fitEvents fits every family, and weighs them by
//
//	QAICc = −2·l/φ + 2k + 2k(k+1)/(n−k−1)
//
// with φ of the likeliest (Burnham and Anderson 2002, Model Selection and Multimodel Inference, 2nd ed., section 2.5); k is 3, φ among them,
// and n the number of fruit.
func fitEvents(s series, all []came) (*events, error) {
	e := &events{series: s, points: s.means(), all: all, plants: make([]float64, s.plants)}
	n := 0.0
	for _, c := range all {
		n += c.fruit
		if !c.early {
			e.plants[c.plant] += c.fruit
		}
	}
	data := intervals(all, none)
	var failure error
	best := -1
	for _, sh := range shapes() {
		l, err := survival.FitLine(data, sh.of, sh.mirrored)
		if err != nil {
			if failure == nil {
				failure = err
			}
			continue
		}
		e.fits = append(e.fits, shaped{Line: l, shape: sh})
		if best < 0 || l.LogLik > e.fits[best].LogLik {
			best = len(e.fits) - 1
		}
	}
	if best < 0 {
		return nil, failure
	}
	e.fits[0], e.fits[best] = e.fits[best], e.fits[0]
	e.phi, e.df = e.dispersion(e.fits[0].Line)
	const k = 3
	var scored []estimate.Scored
	for _, f := range e.fits {
		scored = append(scored, estimate.Scored{Name: f.name, AICc: -2*f.LogLik/e.phi + 2*k + 2*k*(k+1)/math.Max(n-k-1, 1)})
	}
	ranked, _, err := estimate.Rank(scored)
	if err != nil {
		return nil, err
	}
	e.aicc = ranked[0].AICc
	sum := 0.0
	kept := e.fits[:0]
	for i, r := range ranked {
		e.candidates = append(e.candidates, Candidate{Family: r.Name, AICc: r.AICc, Weight: r.Weight})
		if r.Weight >= leastWeight {
			e.fits[i].weight = r.Weight
			sum += r.Weight
			kept = append(kept, e.fits[i])
		}
	}
	e.fits = kept
	for i := range e.fits {
		e.fits[i].weight /= sum
	}
	return e, nil
}

// dispersion is Pearson's statistic of the plants' numbers of new fruit beside those that the family expects of all their fruit, over
// its degrees of freedom and at least 1. Neighbouring numbers are joined until at least one fruit is expected in each.
func (e *events) dispersion(l *survival.Line) (phi float64, df int) {
	pearson := 0.0
	type cell struct{ seen, expected float64 }
	for i := 0; i < len(e.all); {
		plant := e.all[i].plant
		var cells []cell
		open, reached := cell{}, 0.0 // reached is the share at the end of the last stretch
		for ; i < len(e.all) && e.all[i].plant == plant; i++ {
			c := e.all[i]
			if c.early {
				continue
			}
			share := 1.0
			if !math.IsInf(c.to, 1) {
				share = l.Share(c.to)
			}
			open.seen += c.fruit
			open.expected += e.plants[plant] * (share - reached)
			reached = share
			if open.expected >= 1 {
				cells = append(cells, open)
				open = cell{}
			}
		}
		open.expected += e.plants[plant] * (1 - reached)
		switch {
		case open.expected >= 1 || len(cells) == 0:
			cells = append(cells, open)
		default:
			end := &cells[len(cells)-1]
			end.seen += open.seen
			end.expected += open.expected
		}
		df += len(cells) - 1
		for _, c := range cells {
			if c.expected > 0 {
				pearson += (c.seen - c.expected) * (c.seen - c.expected) / c.expected
			}
		}
	}
	df -= 2
	if df < 1 {
		return 1, df
	}
	return math.Max(1, pearson/float64(df)), df
}
