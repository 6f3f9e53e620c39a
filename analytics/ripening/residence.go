package ripening

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Interval is an estimate with a central interval.
type Interval struct{ Value, Low, High float64 }

// Residence is the time that a cultivar's fruit spend in a stage, in standard days, or calendar days where there are no readings.
type Residence struct {
	From, To string
	// MeanDays is the mean over fruit, CV the coefficient of variation between fruit.
	MeanDays, CV Interval
	// Prior is the mean that was taken for granted before the records, published or from earlier seasons, Told how much of the interval's
	// width they took away: 0 if nothing.
	Prior float64
	Told  float64
}

// Residences are the stages' times with intervals of a level, 0 < level < 1.
func (v *Cultivar) Residences(level float64) []Residence {
	z := distuv.UnitNormal.Quantile((1 + level) / 2)
	l := v.fit.layout
	var all []Residence
	for s := range l.unripe {
		r := Residence{From: v.Stages[s], To: v.Stages[s+1], Prior: math.Exp(v.fit.prior.Mean[l.mean(s)])}
		r.MeanDays = v.fit.interval(l.mean(s), z, math.Exp)
		r.CV = v.fit.interval(l.cv(s), z, math.Exp)
		r.Told = 1 - v.fit.sd(l.mean(s))/v.fit.prior.SD[l.mean(s)]
		all = append(all, r)
	}
	return all
}

func (f *fit) sd(j int) float64 {
	return math.Sqrt(f.covariance.At(j, j))
}

func (f *fit) interval(j int, z float64, scale func(float64) float64) Interval {
	return Interval{scale(f.theta[j]), scale(f.theta[j] - z*f.sd(j)), scale(f.theta[j] + z*f.sd(j))}
}

// Observing is what the records say about who counts and what goes unwritten.
type Observing struct {
	// Seen is the share of standing fruit of the first stage that is counted, Confused that of fruit in the middle stages called a neighbouring
	// stage, Unwritten the hazard a day at which fruit that has hung ripe for ten days goes without a record.
	Seen, Confused, Unwritten Interval
	// Early is the hazard a day at which fruit of each unripe stage is picked, Gone that at which it is lost by itself.
	Early, Gone []float64
}

// Observing has intervals of a level.
func (v *Cultivar) Observing(level float64) Observing {
	z := distuv.UnitNormal.Quantile((1 + level) / 2)
	l := v.fit.layout
	return Observing{
		Seen: v.fit.interval(l.detect(), z, logistic), Confused: v.fit.interval(l.confuse(), z, logistic),
		Unwritten: v.fit.interval(l.loss(), z, math.Exp), Early: v.fit.early, Gone: v.fit.gone,
	}
}

// Effect is how much longer the stages of a plant take than the cultivar's, as a factor.
func (p *Plant) Effect(level float64) Interval {
	z := distuv.UnitNormal.Quantile((1 + level) / 2)
	f := p.Cultivar.fit
	e := f.effects[p.index]
	sd := math.Sqrt(f.variance[p.index] + f.quadratic(f.slope[p.index]))
	return Interval{math.Exp(e), math.Exp(e - z*sd), math.Exp(e + z*sd)}
}

// Converged tells whether the search for the parameters ended where it should.
func (v *Cultivar) Converged() bool { return v.fit.converged }
