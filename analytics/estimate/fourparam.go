package estimate

import "math"

// FourParameter is the four-parameter logistic curve
//
//	y = A + (B − A) / (1 + exp((xmid − x)/scal))
//
// A is the level far below xmid and B far above it, xmid the x half-way between, scal > 0 the scale along x. In R, SSfpl.
// The curve with A and B exchanged and scal negated is the same; the one with positive scal is reported.
type FourParameter struct{}

func (FourParameter) Family() string  { return "four-parameter logistic" }
func (FourParameter) Names() []string { return []string{"A", "B", "xmid", "scal"} }

func (FourParameter) Value(x float64, theta []float64) float64 {
	share, rest := logisticShare((x - theta[2]) / theta[3])
	return theta[0]*rest + theta[1]*share
}

func (FourParameter) Gradient(x float64, theta, grad []float64) float64 {
	z := (x - theta[2]) / theta[3]
	share, rest := logisticShare(z)
	slope := (theta[1] - theta[0]) * share * rest / theta[3]
	grad[0] = rest
	grad[1] = share
	grad[2] = -slope
	grad[3] = -slope * z
	return theta[0]*rest + theta[1]*share
}

func (FourParameter) Starts(d Data) ([][]float64, error) {
	locations, scales := sigmoidGrid(d)
	for i, s := range scales {
		scales[i] = math.Abs(s)
	}
	var starts [][]float64
	for _, c := range sigmoidStarts(d, locations, scales, false, logisticShape) {
		starts = append(starts, []float64{c.base, c.base + c.rise, c.location, c.scale})
	}
	return starts, nil
}

func (FourParameter) Limits(d Data, theta []float64) []Limit {
	_, _, top := d.span()
	limits := sigmoidLimits(d, "B", theta[1], "xmid", theta[2], "scal", theta[3])
	// A may be 0 or of either sign, so its range is two-sided.
	return append(limits, Limit{Name: "A", Value: theta[0], Lo: -farAsymptote * top, Hi: farAsymptote * top})
}

// Canonical makes scal positive.
func (FourParameter) Canonical(theta []float64) []float64 {
	if theta[3] < 0 {
		return []float64{theta[1], theta[0], theta[2], -theta[3]}
	}
	return theta
}

func (FourParameter) Asymptote(theta []float64) float64 { return theta[1] }

// Inverse: the x at which y = p·B; with q = (p·B − A)/(B − A), x = xmid + scal·ln(q/(1−q)). It does not exist if A is
// already above p·B.
func (FourParameter) Inverse(share float64, theta, grad []float64) (float64, bool) {
	a, b := theta[0], theta[1]
	q := (share*b - a) / (b - a)
	if !(q > 0 && q < 1) {
		return 0, false
	}
	logit := math.Log(q) - math.Log1p(-q)
	if grad != nil {
		slope := theta[3] / (q * (1 - q)) / ((b - a) * (b - a))
		grad[0] = slope * b * (share - 1)
		grad[1] = slope * a * (1 - share)
		grad[2] = 1
		grad[3] = logit
	}
	return theta[2] + theta[3]*logit, true
}
