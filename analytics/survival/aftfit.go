package survival

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"vinetally/analytics/posdef"
)

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
		gain := floats.Dot(step, score)
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
		if !(posdef.Quadratic(covariance, append([]float64{1}, o.X...)) < far*far*sigma*sigma) {
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
