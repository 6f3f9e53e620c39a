package glm

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/posdef"
)

// Data are n observations of p columns.
type Data struct {
	X [][]float64 // n rows of p columns, an intercept among them if wanted
	Y []float64   // successes, or counts
	// Trials of each observation make the family binomial; nil is Poisson.
	Trials []float64
	Offset []float64 // nil for none
}

// Refusal says in words why there is no fit.
type Refusal struct{ Reason string }

func (e *Refusal) Error() string { return e.Reason }

func refuse(format string, args ...any) error { return &Refusal{fmt.Sprintf(format, args...)} }

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
func (f *Fit) SE() []float64 {
	se := make([]float64, len(f.Coef))
	for i := range se {
		se[i] = math.Sqrt(f.Covariance[i][i])
	}
	return se
}

// Dispersion is Pearson's X² over its degrees of freedom; 1 in the mean where the family holds. It is NaN-free: 1 where no
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
	// farthest is how far from 0 a linear predictor is let to go: beyond it a share is 0 or 1 to the last digit that counts.
	farthest = 30
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

func (d Data) check(link Link) error {
	n := len(d.Y)
	if n == 0 || len(d.X) != n || d.Trials != nil && len(d.Trials) != n || d.Offset != nil && len(d.Offset) != n {
		return refuse("there must be as many rows of every kind, and at least one")
	}
	if (d.Trials == nil) != (link == Log) {
		return refuse("shares want one of the links of shares, and counts the logarithm")
	}
	p := len(d.X[0])
	if p == 0 || n < p {
		return refuse("%d observations can't carry %d coefficients", n, p)
	}
	total, most := 0.0, 0.0
	for i := range d.Y {
		if len(d.X[i]) != p {
			return refuse("row %d has %d columns and not %d", i+1, len(d.X[i]), p)
		}
		numbers := append([]float64{d.Y[i]}, d.X[i]...)
		if d.Trials != nil {
			numbers = append(numbers, d.Trials[i])
		}
		if d.Offset != nil {
			numbers = append(numbers, d.Offset[i])
		}
		for _, v := range numbers {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return refuse("row %d has a value of %v, which is no number to fit", i+1, v)
			}
		}
		if d.Y[i] < 0 || d.Trials != nil && d.Y[i] > d.Trials[i] {
			return refuse("row %d has a count that can't be", i+1)
		}
		total += d.Y[i]
		if d.Trials != nil {
			most += d.Trials[i]
		}
	}
	if total == 0 || d.Trials != nil && total == most {
		return refuse("nothing happened, or everything: there is no change to fit")
	}
	return nil
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

func (d Data) predict(coef, eta []float64) {
	for i := range eta {
		eta[i] = 0
		if d.Offset != nil {
			eta[i] = d.Offset[i]
		}
		for j, b := range coef {
			eta[i] += b * d.X[i][j]
		}
	}
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

// separated tells whether every share has been driven to 0 or 1.
func (d Data) separated(eta []float64) bool {
	for i := range eta {
		if d.Trials[i] > 0 && math.Abs(eta[i]) < farthest {
			return false
		}
	}
	return true
}

var errSeparated = refuse("a coefficient has no end: a line or a group separates what happened from what didn't completely; " +
	"more observations between are needed, or fewer columns")

// endless tells whether the linear predictor of an observation has an error so large that it goes to infinity by small steps, as
// where nothing happened in one group alone (Albert and Anderson 1984, Biometrika 71:1–10).
func (d Data) endless(covariance [][]float64) bool {
	const far = 1e3 // a share is told from 0 or 1 only within 30 of 0
	for i, x := range d.X {
		if d.Trials != nil && d.Trials[i] == 0 {
			continue
		}
		variance := 0.0
		for j := range x {
			for k := range x {
				variance += x[j] * covariance[j][k] * x[k]
			}
		}
		if !(variance < far*far) {
			return true
		}
	}
	return false
}

// part is y·ln(y/m), which is 0 at y = 0.
func part(y, m float64) float64 {
	if y == 0 {
		return 0
	}
	return y * math.Log(y/m)
}

func (d Data) deviance(link Link, eta []float64) float64 {
	sum := 0.0
	for i, y := range d.Y {
		mu, rest, _ := link.mean(eta[i])
		if d.Trials != nil {
			n := d.Trials[i]
			sum += part(y, n*mu) + part(n-y, n*rest)
		} else {
			sum += part(y, mu) - (y - mu)
		}
	}
	return 2 * sum
}

func (f *Fit) finish(d Data, eta []float64) {
	f.Deviance = d.deviance(f.Link, eta)
	f.NullDeviance = d.nullDeviance()
	f.DF = -len(f.Coef)
	for i, y := range d.Y {
		mu, rest, _ := f.Link.mean(eta[i])
		f.Mean[i] = mu
		if d.Trials == nil {
			f.DF++
			f.PearsonX2 += (y - mu) * (y - mu) / mu
			f.LogLikKernel += y*eta[i] - mu
			f.LogLik += distuv.Poisson{Lambda: mu}.LogProb(y)
			continue
		}
		n := d.Trials[i]
		if n == 0 {
			continue
		}
		f.DF++
		f.PearsonX2 += (y - n*mu) * (y - n*mu) / (n * mu * rest)
		kernel := 0.0
		if y > 0 {
			kernel += y * math.Log(mu)
		}
		if n > y {
			kernel += (n - y) * math.Log(rest)
		}
		f.LogLikKernel += kernel
		f.LogLik += kernel + choose(n, y)
	}
}

// choose is ln of n over y.
func choose(n, y float64) float64 {
	a, _ := math.Lgamma(n + 1)
	b, _ := math.Lgamma(y + 1)
	c, _ := math.Lgamma(n - y + 1)
	return a - b - c
}

func (d Data) nullDeviance() float64 {
	y, n, sum := 0.0, 0.0, 0.0
	for i := range d.Y {
		y += d.Y[i]
		n += d.exposure(i)
	}
	for i := range d.Y {
		expected := d.exposure(i) * y / n
		sum += part(d.Y[i], expected)
		if d.Trials != nil {
			sum += part(d.Trials[i]-d.Y[i], d.Trials[i]-expected)
		} else {
			sum -= d.Y[i] - expected
		}
	}
	return 2 * sum
}

func (d Data) exposure(i int) float64 {
	switch {
	case d.Trials != nil:
		return d.Trials[i]
	case d.Offset != nil:
		return math.Exp(d.Offset[i])
	default:
		return 1
	}
}
