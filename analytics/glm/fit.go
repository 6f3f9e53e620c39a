package glm

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"vinetally/analytics/posdef"
)

// Fit is a fitted model.
type Fit struct {
	Link       Link
	Coef       []float64
	Covariance [][]float64 // the inverse of the information, at the family's dispersion of 1
	Mean       []float64   // fitted shares, or fitted counts
	Deviance   float64
	// NullDeviance is that of an intercept alone (with the offset).
	NullDeviance float64
	PearsonX2    float64 // Σ (y − μ)²/V(μ)
	DF           int     // n − p, observations without trials left out
	LogLik       float64
	// LogLikKernel leaves out what doesn't depend on the coefficients: Σ y·ln μ + (n − y)·ln(1 − μ), or Σ y·ln μ − μ.
	LogLikKernel float64
}

// SE are the standard errors of Coef at the family's dispersion.
func (f *Fit) SE() []float64 { return posdef.StandardErrors(f.Covariance) }

// Dispersion is Pearson's X² over its degrees of freedom; 1 in the mean where the family holds, and 1 where no
// degrees of freedom are left.
func (f *Fit) Dispersion() float64 {
	if f.DF == 0 {
		return 1
	}
	return f.PearsonX2 / float64(f.DF)
}

// AIC is −2·LogLik + 2p.
func (f *Fit) AIC() float64 { return -2*f.LogLik + 2*float64(len(f.Coef)) }

const (
	mostIterations = 100
	mostHalvings   = 30
	tightest       = 1e-14 // relative change of the deviance at the end
	// worstCondition of an information with a unit diagonal, beyond which no digit of its inverse is sure.
	worstCondition = 1e14
)

// Regress fits a model. It is refused where the columns aren't independent or a maximum doesn't exist.
func Regress(d Data, link Link) (*Fit, error) {
	if err := d.check(link); err != nil {
		return nil, err
	}
	n, p := len(d.Y), len(d.X[0])
	eta := make([]float64, n)
	for i := range eta { // start from the data, as McCullagh and Nelder advise
		if d.Trials != nil {
			eta[i] = link.Inverse((d.Y[i] + 0.5) / (d.Trials[i] + 1))
		} else {
			eta[i] = math.Log(d.Y[i] + 0.1)
		}
	}
	f := &Fit{Link: link, Coef: make([]float64, p), Mean: make([]float64, n)}
	deviance := math.Inf(1)
	for iteration := 0; ; iteration++ {
		if iteration == mostIterations {
			return nil, refuse("the fit didn't settle in %d steps", mostIterations)
		}
		information, response := d.normal(link, eta)
		next, ok := posdef.Solve(information, response, worstCondition)
		switch {
		case !ok && iteration == 0:
			return nil, refuse("the columns aren't independent: leave one out that the others add up to")
		case !ok: // the columns were independent at the start
			return nil, errSeparated
		case iteration > 0:
			next = d.shorten(link, f.Coef, next, deviance)
		}
		d.predict(next, eta)
		f.Coef = next
		now := d.deviance(link, eta)
		settled := math.Abs(deviance-now) <= tightest*(math.Abs(now)+0.1)
		deviance = now
		if d.Trials != nil && d.separated(eta) {
			return nil, errSeparated
		}
		if settled && iteration > 1 {
			information, _ := d.normal(link, eta)
			f.Covariance, ok = posdef.Invert(information, worstCondition)
			if !ok || d.endless(f.Covariance) {
				return nil, errSeparated
			}
			f.finish(d, eta)
			return f, nil
		}
	}
}

// normal returns the normal equations of one weighted least-squares step from a linear predictor: XᵀWX, which is the information,
// and XᵀWz of the working response z.
func (d Data) normal(link Link, eta []float64) (information *mat.SymDense, response []float64) {
	n, p := len(d.Y), len(d.X[0])
	information, response = mat.NewSymDense(p, nil), make([]float64, p)
	for i := range n {
		mu, rest, slope := link.mean(eta[i])
		trials, variance := 1.0, mu
		if d.Trials != nil {
			trials, variance = d.Trials[i], mu*rest
		}
		if variance <= 0 || trials == 0 {
			continue
		}
		w := trials * slope * slope / variance
		z := eta[i] + (d.Y[i]/trials-mu)/slope
		if d.Offset != nil {
			z -= d.Offset[i]
		}
		for j := range p {
			response[j] += w * z * d.X[i][j]
			for k := j; k < p; k++ {
				information.SetSym(j, k, information.At(j, k)+w*d.X[i][j]*d.X[i][k])
			}
		}
	}
	return information, response
}

// shorten halves a step until it doesn't make the deviance worse.
func (d Data) shorten(link Link, from, to []float64, deviance float64) []float64 {
	eta := make([]float64, len(d.Y))
	for range mostHalvings {
		d.predict(to, eta)
		if now := d.deviance(link, eta); now <= deviance*(1+1e-10)+1e-10 {
			break
		}
		half := make([]float64, len(to))
		for j := range to {
			half[j] = (from[j] + to[j]) / 2
		}
		to = half
	}
	return to
}
