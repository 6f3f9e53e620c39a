package glm

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Level is the x at which a share is reached, in a model with an intercept and one column: (link(p) − β0)/β1.
type Level struct {
	At float64
	SE float64 // by the delta method
	// Low and High are At ± z·SE, FiellerLow and FiellerHigh the interval by Fieller's theorem (Fieller 1954, J. R. Stat. Soc. B
	// 16:175–185), which doesn't take At to be symmetric; Bounded is false where it has no end.
	Low, High               float64
	FiellerLow, FiellerHigh float64
	Bounded                 bool
}

// LevelAt works out where the share p is reached, with intervals at a level of confidence. scale multiplies the covariance:
// 1, or the dispersion.
func (f *Fit) LevelAt(p, confidence, scale float64) (Level, error) {
	if len(f.Coef) != 2 || f.Coef[1] == 0 {
		return Level{}, refuse("only a line that rises or falls reaches a share at one place")
	}
	b0, b1 := f.Coef[0]-f.Link.Inverse(p), f.Coef[1]
	v00, v01, v11 := f.Covariance[0][0]*scale, f.Covariance[0][1]*scale, f.Covariance[1][1]*scale
	x := -b0 / b1
	z := distuv.UnitNormal.Quantile(1 - (1-confidence)/2)
	l := Level{At: x, SE: math.Sqrt(v00+2*x*v01+x*x*v11) / math.Abs(b1)}
	l.Low, l.High = x-z*l.SE, x+z*l.SE
	a, b, c := b1*b1-z*z*v11, b0*b1-z*z*v01, b0*b0-z*z*v00
	if root := b*b - a*c; a > 0 && root >= 0 {
		l.FiellerLow, l.FiellerHigh, l.Bounded = (-b-math.Sqrt(root))/a, (-b+math.Sqrt(root))/a, true
	}
	return l, nil
}
