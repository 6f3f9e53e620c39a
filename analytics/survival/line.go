package survival

import (
	"math"

	"vinetally/analytics/posdef"
)

// Line is a fitted location-scale model of times on the whole line, T = μ + σ·W: days of the calendar, say, of which none is a day 0
// that the answer could hang on. W is that of the Family, or turned round (Mirrored), so that Weibull's smallest extreme value becomes the
// largest, whose distribution function exp(−exp(−w)) is Gompertz's curve.
type Line struct {
	Family     Family
	Mirrored   bool
	Mu, Sigma  float64
	Covariance [2][2]float64 // of Mu and ln Sigma, by the observed information
	LogLik     float64

	data []Interval
}

// FitLine fits by maximum likelihood to times that lie in (Left, Right]; Left may be −∞ and Right +∞, and X isn't looked at. Each
// interval has to have a length. It is FitAFT of e^T, in units of the width of the data.
func FitLine(data []Interval, family Family, mirrored bool) (*Line, error) {
	l := &Line{Family: family, Mirrored: mirrored}
	first, last := math.Inf(1), math.Inf(-1)
	for _, o := range data {
		if !(o.Left < o.Right) {
			return nil, refuse("a time lies in (%v, %v], which has no length", o.Left, o.Right)
		}
		for _, end := range []float64{o.Left, o.Right} {
			if !math.IsInf(end, 0) {
				first, last = math.Min(first, end), math.Max(last, end)
			}
		}
		if o.Weight == 0 || math.IsInf(o.Left, -1) && math.IsInf(o.Right, 1) {
			continue
		}
		if mirrored {
			o.Left, o.Right = -o.Right, -o.Left
		}
		l.data = append(l.data, o)
	}
	if !(last > first) {
		return nil, refuse("the times were looked for at one moment only; two or more tell how they are spread")
	}
	middle, width := (first+last)/2, (last-first)/2
	if mirrored {
		middle = -middle
	}
	onUnits := make([]Interval, len(l.data))
	for i, o := range l.data {
		onUnits[i] = Interval{Left: math.Exp((o.Left - middle) / width), Right: math.Exp((o.Right - middle) / width), Weight: o.Weight}
	}
	a, err := FitAFT(onUnits, family)
	if err != nil {
		return nil, err
	}
	l.Mu, l.Sigma, l.LogLik = middle+width*a.Coef[0], width*a.Scale(), a.LogLik
	l.Covariance = [2][2]float64{{a.Covariance[0][0] * width * width, a.Covariance[0][1] * width}, {a.Covariance[1][0] * width, a.Covariance[1][1]}}
	if mirrored {
		l.Mu = -l.Mu
		l.Covariance[0][1], l.Covariance[1][0] = -l.Covariance[0][1], -l.Covariance[1][0]
	}
	return l, nil
}

// w is the standard quantile of a share, in the direction of time.
func (l *Line) w(p float64) float64 {
	if l.Mirrored {
		return -l.Family.Quantile(1 - p)
	}
	return l.Family.Quantile(p)
}

// Share is the share that has come by t.
func (l *Line) Share(t float64) float64 {
	if l.Mirrored {
		_, S, _, _ := l.Family.at((l.Mu - t) / l.Sigma)
		return S
	}
	F, _, _, _ := l.Family.at((t - l.Mu) / l.Sigma)
	return F
}

// Quantile is the time by which the share p has come, and its standard error by the delta method.
func (l *Line) Quantile(p float64) (t, se float64) {
	w := l.w(p)
	c := l.Covariance
	return l.Mu + l.Sigma*w, math.Sqrt(posdef.Quadratic([][]float64{c[0][:], c[1][:]}, []float64{1, l.Sigma * w}))
}

// Profile is the interval of the time by which the share p has come that holds every time t at which the likelihood, maximised over σ
// given t, is within scale times half of the squared quantile z of its largest:
//
//	2·(l(μ̂, σ̂) − max l(t, σ)) ≤ scale·z²
//
// (Venzon and Moolgavkar 1988, Appl. Stat. 37:87–94). A scale above 1 allows for overdispersion (McCullagh and Nelder 1989, Generalized
// Linear Models, 2nd ed., section 9.2, with F's quantile, the square of Student's). A side on which the likelihood hasn't
// fallen so far some hundred standard errors away is −∞ or +∞.
func (l *Line) Profile(p, scale, z float64) (low, high float64) {
	at, se := l.Quantile(p)
	side := func(sign float64) float64 {
		// The signed root of the fall is nearly straight in t: secants find where it is z.
		logSigma := math.Log(l.Sigma)
		root := func(t float64) float64 {
			var top float64
			top, logSigma = l.ridge(t, l.w(p), logSigma)
			return math.Sqrt(math.Max(0, 2*(l.LogLik-top)/scale))
		}
		step := sign * se * math.Sqrt(scale)
		inner, outer := at, at+z*step
		fInner, fOuter := 0.0, root(outer)
		for n := 0; fOuter < z; n++ {
			if n == mostSteps || math.IsNaN(fOuter) {
				return math.Inf(int(sign))
			}
			inner, fInner = outer, fOuter
			outer += z * step
			step *= 1.5
			fOuter = root(outer)
		}
		for range mostSecants {
			t := inner + (outer-inner)*(z-fInner)/(fOuter-fInner)
			f := root(t)
			if math.Abs(f-z) < 1e-7*z {
				return t
			}
			if f < z {
				inner, fInner = t, f
			} else {
				outer, fOuter = t, f
			}
		}
		return inner + (outer-inner)*(z-fInner)/(fOuter-fInner)
	}
	return side(-1), side(1)
}

const (
	mostSteps   = 12
	mostSecants = 60
)

// ridge is the largest log-likelihood with the quantile that belongs to w at t, over ln σ from a start, and where it is: Newton's method
// with steps halved until they go up.
func (l *Line) ridge(t, w, logSigma float64) (top, at float64) {
	if l.Mirrored {
		t, w = -t, -w
	}
	top, slope, bend := l.along(t, w, logSigma)
	for range mostIterations {
		step := slope
		if bend < 0 {
			step = -slope / bend
		}
		step = math.Max(-1, math.Min(1, step))
		next, nextSlope, nextBend := l.along(t, w, logSigma+step)
		for n := 0; !(next >= top) && n < mostHalvings; n++ {
			step /= 2
			next, nextSlope, nextBend = l.along(t, w, logSigma+step)
		}
		if !(next >= top) {
			break
		}
		gain := next - top
		top, slope, bend = next, nextSlope, nextBend
		logSigma += step
		if gain <= 1e-11*(1+math.Abs(top)) {
			break
		}
	}
	return top, logSigma
}

// along is the log-likelihood at ln σ and its first two derivatives there, with μ = t − σ·w.
func (l *Line) along(t, w, logSigma float64) (sum, slope, bend float64) {
	sigma := math.Exp(logSigma)
	for _, o := range l.data {
		a, b := (o.Left-t)/sigma, (o.Right-t)/sigma
		F1, S1, f1, g1 := l.Family.at(a + w)
		F2, S2, f2, g2 := l.Family.at(b + w)
		p := F2 - F1
		if F1 > 0.5 {
			p = S1 - S2
		}
		if !(p > 0) {
			return math.Inf(-1), 0, 0
		}
		if f1 == 0 {
			a = 0 // at the end of the line, where the density falls faster than a grows
		}
		if f2 == 0 {
			b = 0
		}
		first := (a*f1 - b*f2) / p
		sum += o.Weight * math.Log(p)
		slope += o.Weight * first
		bend += o.Weight * ((b*b*g2+b*f2-a*a*g1-a*f1)/p - first*first)
	}
	return sum, slope, bend
}
