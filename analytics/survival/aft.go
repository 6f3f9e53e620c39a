package survival

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/posdef"
)

// AFT is a fitted accelerated failure time model, ln T = β0 + x·β + σ·W (Kalbfleisch and Prentice 2002, The Statistical Analysis
// of Failure Time Data, 2nd ed., chapter 3).
type AFT struct {
	Family     Family
	Coef       []float64   // β0 and β
	LogScale   float64     // ln σ
	Covariance [][]float64 // of Coef and LogScale, by the observed information
	LogLik     float64     // of times, not of their logarithms
}

// Scale is σ.
func (a *AFT) Scale() float64 { return math.Exp(a.LogScale) }

// AIC is −2·LogLik + 2·(coefficients and scale).
func (a *AFT) AIC() float64 { return -2*a.LogLik + 2*float64(len(a.Coef)+1) }

// SE are the standard errors of Coef and LogScale.
func (a *AFT) SE() []float64 { return posdef.StandardErrors(a.Covariance) }

// Location is β0 + x·β.
func (a *AFT) Location(x []float64) float64 {
	sum := a.Coef[0]
	for i, v := range x {
		sum += v * a.Coef[i+1]
	}
	return sum
}

// Survival is the share that hasn't come by a time.
func (a *AFT) Survival(t float64, x []float64) float64 {
	_, S, _, _ := a.Family.at((math.Log(t) - a.Location(x)) / a.Scale())
	return S
}

// Quantile is the time by which a share has come.
type Quantile struct {
	LogTime, LogSE float64
	Time, SE       float64 // delta method
}

// Interval is the interval of the time at a level, worked out on the logarithms.
func (q Quantile) Interval(level float64) (low, high float64) {
	half := distuv.UnitNormal.Quantile(1-(1-level)/2) * q.LogSE
	return math.Exp(q.LogTime - half), math.Exp(q.LogTime + half)
}

// Quantile is the time by which the share p has come.
func (a *AFT) Quantile(p float64, x []float64) Quantile {
	w := a.Family.Quantile(p)
	g := append(append([]float64{1}, x...), a.Scale()*w)
	q := Quantile{LogTime: a.Location(x) + a.Scale()*w, LogSE: math.Sqrt(posdef.Quadratic(a.Covariance, g))}
	q.Time = math.Exp(q.LogTime)
	q.SE = q.Time * q.LogSE
	return q
}
