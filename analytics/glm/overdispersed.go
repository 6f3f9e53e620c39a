package glm

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"vinetally/analytics/posdef"
)

// Overdispersed is a maximum likelihood fit of a model with a parameter for the dispersion beside the coefficients: the beta-binomial's φ
// or the negative binomial's θ. The larger it is, the nearer the model comes to the binomial or to the Poisson one.
type Overdispersed struct {
	Coef     []float64
	LogShape float64 // ln φ or ln θ
	// Observed is the inverse of the observed information of Coef and, last, of LogShape.
	Observed [][]float64
	Mean     []float64 // fitted shares, or fitted counts
	LogLik   float64
	DF       int // n − p
}

// Shape is φ or θ.
func (o *Overdispersed) Shape() float64 { return math.Exp(o.LogShape) }

// SE are the standard errors of Coef and, last, of LogShape, from the observed information.
func (o *Overdispersed) SE() []float64 { return posdef.StandardErrors(o.Observed) }

// AIC is −2·LogLik + 2(p + 1): the shape counts as a parameter.
func (o *Overdispersed) AIC() float64 { return -2*o.LogLik + 2*float64(len(o.Coef)+1) }

// term is one observation's log-likelihood with its derivatives in the linear predictor η and in the shape s.
type term struct{ value, eta, shape, etaEta, etaShape, shapeShape float64 }

// farthestShape is ln of the shape beyond which the data show no dispersion to speak of.
const farthestShape = 16

// climb maximises a log-likelihood by Newton's method from several starts of the shape, and keeps the highest maximum.
func (d Data) climb(coef []float64, one func(i int, eta, shape float64) term) (*Overdispersed, error) {
	var best *Overdispersed
	for _, start := range []float64{-1, 1, 3, 5} {
		o := d.climbFrom(append(append([]float64(nil), coef...), start), one)
		if o != nil && (best == nil || o.LogLik > best.LogLik) {
			best = o
		}
	}
	if best == nil {
		return nil, refuse("the observations vary no more than chance alone would make them: there is no dispersion to estimate")
	}
	return best, nil
}

func (d Data) climbFrom(theta []float64, one func(i int, eta, shape float64) term) *Overdispersed {
	value, score, information := d.derivatives(theta, one)
	for range mostIterations {
		step, decrement, ok := newton(information, score)
		if !ok {
			return nil
		}
		if decrement < 1e-20*(1+math.Abs(value)) {
			if observed, ok := posdef.Invert(information, worstCondition); ok {
				return d.overdispersed(theta, value, observed)
			}
		}
		climbed := false
		for range mostHalvings {
			next := make([]float64, len(theta))
			for j := range next {
				next[j] = theta[j] + step[j]
				step[j] /= 2
			}
			if math.Abs(next[len(next)-1]) > farthestShape {
				continue
			}
			v, s, inf := d.derivatives(next, one)
			if v >= value-1e-12*(1+math.Abs(value)) {
				theta, value, score, information, climbed = next, v, s, inf, true
				break
			}
		}
		if !climbed {
			break
		}
	}
	// Rounding can keep the last digits of the score from settling; a score this small against the curvature is a maximum.
	if _, decrement, ok := newton(information, score); ok && decrement < 1e-14*(1+math.Abs(value)) {
		if observed, ok := posdef.Invert(information, worstCondition); ok {
			return d.overdispersed(theta, value, observed)
		}
	}
	return nil
}

func (d Data) overdispersed(theta []float64, value float64, observed [][]float64) *Overdispersed {
	p := len(theta) - 1
	// Where the shape's curvature is all but gone there is a slope without end, not a maximum.
	if theta[p] > farthestShape-2 {
		return nil
	}
	return &Overdispersed{Coef: theta[:p], LogShape: theta[p], Observed: observed, LogLik: value, DF: len(d.Y) - p}
}

func (d Data) derivatives(theta []float64, one func(i int, eta, shape float64) term) (value float64, score []float64, information *mat.SymDense) {
	p := len(theta) - 1
	eta := make([]float64, len(d.Y))
	d.predict(theta[:p], eta)
	s := math.Exp(theta[p])
	score, information = make([]float64, p+1), mat.NewSymDense(p+1, nil)
	for i, x := range d.X {
		t := one(i, eta[i], s)
		value += t.value
		score[p] += s * t.shape
		information.SetSym(p, p, information.At(p, p)-s*s*t.shapeShape-s*t.shape)
		for j := range p {
			score[j] += t.eta * x[j]
			information.SetSym(j, p, information.At(j, p)-s*t.etaShape*x[j])
			for k := j; k < p; k++ {
				information.SetSym(j, k, information.At(j, k)-t.etaEta*x[j]*x[k])
			}
		}
	}
	return value, score, information
}

// newton is the step up, with the diagonal raised until the curvature is that of a maximum; decrement is score·step.
func newton(information *mat.SymDense, score []float64) (step []float64, decrement float64, ok bool) {
	n := len(score)
	for ridge := 0.0; ridge < 1e8; ridge = max(1e-3, 4*ridge) {
		a := mat.NewSymDense(n, nil)
		a.CopySym(information)
		for j := range n {
			a.SetSym(j, j, information.At(j, j)+ridge*(1+math.Abs(information.At(j, j))))
		}
		if step, ok = posdef.Solve(a, score, worstCondition); ok {
			return step, floats.Dot(step, score), true
		}
	}
	return nil, 0, false
}

// rising is Σ ln(a + k) over k < n, ln Γ(a + n) − ln Γ(a) without cancellation, with its two derivatives.
func rising(a, n float64) (value, first, second float64) {
	for k := 0.0; k < n; k++ {
		value += math.Log(a + k)
		first += 1 / (a + k)
		second -= 1 / ((a + k) * (a + k))
	}
	return value, first, second
}
