package estimate

import (
	"fmt"
	"math"
)

// Weibull is the Weibull growth curve
//
//	y = Asym − Drop · exp(−exp(lrc) · x^pwr),  x ≥ 0
//
// Asym is the asymptote, Asym − Drop the level at x = 0, lrc the natural logarithm of the rate constant, pwr > 0 the power.
// In R, SSweibull. (Ratkowsky 1983, Nonlinear Regression Modeling, section 4.1.)
type Weibull struct{}

func (Weibull) Family() string  { return "weibull" }
func (Weibull) Names() []string { return []string{"Asym", "Drop", "lrc", "pwr"} }

func (Weibull) Value(x float64, theta []float64) float64 {
	return theta[0] - theta[1]*math.Exp(-math.Exp(theta[2])*math.Pow(x, theta[3]))
}

func (Weibull) Gradient(x float64, theta, grad []float64) float64 {
	u := math.Exp(theta[2]) * math.Pow(x, theta[3])
	rest := math.Exp(-u)
	slope := theta[1] * rest * u
	if rest == 0 { // u may be +Inf there, and 0·Inf is not the limit, which is 0
		slope = 0
	}
	grad[0] = 1
	grad[1] = -rest
	grad[2] = slope
	grad[3] = 0
	if x > 0 { // at x = 0 the product u·ln x tends to 0
		grad[3] = slope * math.Log(x)
	}
	return theta[0] - theta[1]*rest
}

// Starts searches over the x at which 1 − 1/e of the drop is made up, x₀ = exp(−lrc/pwr), and over pwr.
func (Weibull) Starts(d Data) ([][]float64, error) {
	for i, x := range d.X {
		if x < 0 {
			return nil, &Invalid{What: "x", Row: i, Detail: fmt.Sprintf("is %v; a Weibull curve starts at 0", x)}
		}
	}
	_, hi, _ := d.span()
	var locations []float64
	for k := 1; k <= 16; k++ {
		locations = append(locations, hi*float64(k)/12)
	}
	powers := []float64{0.5, 1, 1.5, 2, 3, 4.5, 7, 11}
	var starts [][]float64
	for _, c := range selfStarts(d, locations, powers, false, func(x, location, power float64) float64 {
		return 1 - math.Exp(-math.Pow(x/location, power))
	}) {
		starts = append(starts, []float64{c.base + c.rise, c.rise, -c.scale * math.Log(c.location), c.scale})
	}
	return starts, nil
}

func (Weibull) Limits(d Data, theta []float64) []Limit {
	_, hi, top := d.span()
	return []Limit{
		{Name: "Asym", Value: theta[0], Lo: -farAsymptote * top, Hi: farAsymptote * top},
		{Name: "Drop", Value: math.Abs(theta[1]), Lo: 0, Hi: 2 * farAsymptote * top},
		{Name: "exp(-lrc/pwr)", Value: math.Exp(-theta[2] / theta[3]), Lo: 0, Hi: farLocation * hi},
		{Name: "pwr", Value: theta[3], Lo: 0, Hi: 1 / smallestScale},
	}
}

func (Weibull) Asymptote(theta []float64) float64 { return theta[0] }

// Inverse: the x at which y = p·Asym; with u = −ln((1−p)·Asym/Drop), x = (u/exp(lrc))^(1/pwr). It does not exist if the
// curve starts above p·Asym.
func (Weibull) Inverse(share float64, theta, grad []float64) (float64, bool) {
	u := -math.Log((1 - share) * theta[0] / theta[1])
	if !(u > 0) || !(theta[3] > 0) {
		return 0, false
	}
	lnX := (math.Log(u) - theta[2]) / theta[3]
	x := math.Exp(lnX)
	if grad != nil {
		grad[0] = -x / (theta[3] * u * theta[0])
		grad[1] = x / (theta[3] * u * theta[1])
		grad[2] = -x / theta[3]
		grad[3] = -x * lnX / theta[3]
	}
	return x, true
}
