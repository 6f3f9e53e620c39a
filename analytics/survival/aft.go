package survival

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
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
func (a *AFT) SE() []float64 {
	se := make([]float64, len(a.Covariance))
	for i := range se {
		se[i] = math.Sqrt(a.Covariance[i][i])
	}
	return se
}

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
	variance := 0.0
	for i := range g {
		for j := range g {
			variance += g[i] * g[j] * a.Covariance[i][j]
		}
	}
	q := Quantile{LogTime: a.Location(x) + a.Scale()*w, LogSE: math.Sqrt(variance)}
	q.Time = math.Exp(q.LogTime)
	q.SE = q.Time * q.LogSE
	return q
}

const (
	mostIterations = 200
	mostHalvings   = 40
	settled        = 1e-10 // relative gain, from where Newton's method goes on by itself
	// worstCondition of a matrix with a unit diagonal that is still solved.
	worstCondition = 1e13
)

// FitAFT fits by maximum likelihood: Newton's method with steps halved until they go up.
func FitAFT(data []Interval, family Family) (*AFT, error) {
	if err := check(data); err != nil {
		return nil, err
	}
	theta := startOf(data)
	now, score, information := likelihood(data, family, theta)
	for range mostIterations {
		step, ok := posdef.Solve(information, score, worstCondition)
		if !ok { // far from the top: along the slope, each coordinate by its own curvature
			step = make([]float64, len(score))
			for k := range step {
				step[k] = score[k] / (math.Abs(information.At(k, k)) + 1)
			}
		}
		gain := 0.0
		for k := range step {
			gain += step[k] * score[k]
		}
		if ok && gain < settled*(math.Abs(now)+1) {
			return polish(data, family, add(theta, step))
		}
		if theta, now, ok = climb(data, family, theta, step, now); !ok {
			return nil, refuse("the fit didn't settle: no step improves it")
		}
		if theta[len(theta)-1] < narrowest {
			break
		}
		_, score, information = likelihood(data, family, theta)
	}
	return nil, refuse("the times don't differ enough to tell their spread; looks closer together would")
}

// certain is the log-likelihood beyond which stretches of time leave nothing to chance: one lies in all, and any narrow
// distribution in it will do.
const certain = 1e-6

// narrowest is ln σ below which all times are alike.
const narrowest = -12

func climb(data []Interval, family Family, theta, step []float64, now float64) (to []float64, height float64, ok bool) {
	for range mostHalvings {
		to = add(theta, step)
		if height, _, _ = likelihood(data, family, to); height >= now {
			return to, height, true
		}
		for k := range step {
			step[k] /= 2
		}
	}
	return nil, now, false
}

// polish takes the last steps unguarded: they double the digits.
func polish(data []Interval, family Family, theta []float64) (*AFT, error) {
	for range 2 {
		_, score, information := likelihood(data, family, theta)
		step, ok := posdef.Solve(information, score, worstCondition)
		if !ok {
			break
		}
		theta = add(theta, step)
	}
	height, _, information := likelihood(data, family, theta)
	censored := !slices.ContainsFunc(data, func(o Interval) bool { return o.Left == o.Right })
	covariance, ok := posdef.Invert(information, worstCondition)
	if !ok || censored && height > -certain || endless(data, covariance, math.Exp(theta[len(theta)-1])) {
		return nil, refuse("the times leave the spread or a covariate without end; more exact looks are needed")
	}
	p := len(theta) - 1
	return &AFT{Family: family, Coef: theta[:p], LogScale: theta[p], Covariance: covariance, LogLik: height}, nil
}

// endless tells whether the location of an observation has an error of very many σ: its covariate goes to infinity by small steps, as
// where a group has only times that haven't come.
func endless(data []Interval, covariance [][]float64, sigma float64) bool {
	const far = 1e3
	for _, o := range data {
		if o.Weight == 0 {
			continue
		}
		x := append([]float64{1}, o.X...)
		variance := 0.0
		for j := range x {
			for k := range x {
				variance += x[j] * covariance[j][k] * x[k]
			}
		}
		if !(variance < far*far*sigma*sigma) {
			return true
		}
	}
	return false
}

func add(a, b []float64) []float64 {
	c := make([]float64, len(a))
	for i := range a {
		c[i] = a[i] + b[i]
	}
	return c
}

// startOf takes the middles of the intervals for times.
func startOf(data []Interval) []float64 {
	sum, squares, n := 0.0, 0.0, 0.0
	for _, o := range data {
		t := o.Right / 2
		switch {
		case math.IsInf(o.Right, 1):
			t = o.Left * 1.2
		case o.Left > 0:
			t = (o.Left + o.Right) / 2
		}
		if t > 0 {
			l := math.Log(t)
			sum, squares, n = sum+o.Weight*l, squares+o.Weight*l*l, n+o.Weight
		}
	}
	theta := make([]float64, len(data[0].X)+2)
	if n > 0 {
		theta[0] = sum / n
		theta[len(theta)-1] = math.Log(math.Max(math.Sqrt(max(squares/n-theta[0]*theta[0], 0)), 0.1))
	}
	return theta
}

// likelihood returns the log-likelihood, its gradient and minus its second derivatives in β0, β and ln σ.
func likelihood(data []Interval, family Family, theta []float64) (sum float64, score []float64, information *mat.SymDense) {
	n := len(theta)
	sigma := math.Exp(theta[n-1])
	score, information = make([]float64, n), mat.NewSymDense(n, nil)
	for _, o := range data {
		if o.Weight == 0 {
			continue
		}
		x := append([]float64{1}, o.X...)
		mu := 0.0
		for k, v := range x {
			mu += v * theta[k]
		}
		if o.Left == o.Right {
			w := (math.Log(o.Left) - mu) / sigma
			psi, slope := family.score(w)
			_, _, f, _ := family.at(w)
			sum += o.Weight * (math.Log(f) - theta[n-1] - math.Log(o.Left))
			d := gradient(x, w, sigma)
			for a := range n {
				score[a] += o.Weight * psi * d[a]
				for b := a; b < n; b++ {
					information.SetSym(a, b, information.At(a, b)-o.Weight*(slope*d[a]*d[b]+psi*second(x, w, sigma, a, b)))
				}
			}
			score[n-1] -= o.Weight
			continue
		}
		lower, upper := math.Inf(-1), math.Inf(1)
		if o.Left > 0 {
			lower = (math.Log(o.Left) - mu) / sigma
		}
		if !math.IsInf(o.Right, 1) {
			upper = (math.Log(o.Right) - mu) / sigma
		}
		F1, S1, f1, g1 := family.at(lower)
		F2, S2, f2, g2 := family.at(upper)
		p := F2 - F1
		if F1 > 0.5 {
			p = S1 - S2
		}
		if !(p > 0) {
			return math.Inf(-1), score, information
		}
		sum += o.Weight * math.Log(p)
		d1, d2 := gradient(x, lower, sigma), gradient(x, upper, sigma)
		for a := range n {
			ga := (f2*d2[a] - f1*d1[a]) / p
			score[a] += o.Weight * ga
			for b := a; b < n; b++ {
				gb := (f2*d2[b] - f1*d1[b]) / p
				curve := g2*d2[a]*d2[b] + f2*second(x, upper, sigma, a, b) - g1*d1[a]*d1[b] - f1*second(x, lower, sigma, a, b)
				information.SetSym(a, b, information.At(a, b)-o.Weight*(curve/p-ga*gb))
			}
		}
	}
	return sum, score, information
}

// gradient is dw in β0, β and ln σ; 0 at the ends of the line, where the density is 0 faster than w grows.
func gradient(x []float64, w, sigma float64) []float64 {
	d := make([]float64, len(x)+1)
	if math.IsInf(w, 0) {
		return d
	}
	for k, v := range x {
		d[k] = -v / sigma
	}
	d[len(x)] = -w
	return d
}

// second is d²w.
func second(x []float64, w, sigma float64, a, b int) float64 {
	n := len(x)
	switch {
	case math.IsInf(w, 0) || a < n && b < n:
		return 0
	case a == n && b == n:
		return w
	default:
		return x[min(a, b)] / sigma
	}
}
