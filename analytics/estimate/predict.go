package estimate

import (
	"fmt"
	"math"
)

// Interval is an estimate with its standard error and its bounds at a level, such as 0.95.
type Interval struct {
	Value, SE, Lo, Hi, Level float64
}

// Prediction is the curve at one x.
type Prediction struct {
	X float64
	// Mean is the fitted curve with its standard error by the delta method, √(gᵀ·Covariance·g), and Wald t interval.
	Mean Interval
	// Obs is the interval of one further observation of weight 1: ± t·√(s² + SE²) about the same value.
	Obs Interval
}

// Predict returns the curve with intervals at each x, Student t with the residual degrees of freedom.
//
// The intervals are those of independent errors (see the package documentation). Invalid: level outside (0, 1), or an x at
// which the curve has no finite value.
func (f *Fit) Predict(xs []float64, level float64) ([]Prediction, error) {
	t, err := f.quantile(level)
	if err != nil {
		return nil, err
	}
	out := make([]Prediction, 0, len(xs))
	grad := make([]float64, len(f.Theta))
	for i, x := range xs {
		value := f.problem.model.Value(x, f.Theta)
		f.problem.model.Gradient(x, f.Theta, grad)
		p := Prediction{X: x, Mean: interval(value, f.deltaSE(grad), t, level)}
		p.Obs = interval(value, math.Hypot(f.ResidualSD, p.Mean.SE), t, level)
		if !allFinite(x, p.Mean.Value, p.Obs.Lo, p.Obs.Hi) {
			return nil, &Invalid{What: "x", Row: i, Detail: fmt.Sprintf("is %v; the curve has no finite value there", x)}
		}
		out = append(out, p)
	}
	return out, nil
}

// Wald returns estimate ± t·SE for each parameter, in the order of Names.
func (f *Fit) Wald(level float64) ([]Interval, error) {
	t, err := f.quantile(level)
	if err != nil {
		return nil, err
	}
	out := make([]Interval, len(f.Theta))
	for j := range out {
		out[j] = interval(f.Theta[j], f.SE[j], t, level)
	}
	return out, nil
}

// AtShare returns the x at which the curve stands at a share of its asymptote, with its delta-method standard error and
// Wald t interval. Invalid: the model is no Sigmoid, level or share outside (0, 1), or the curve never stands there.
func (f *Fit) AtShare(share, level float64) (Interval, error) {
	t, err := f.quantile(level)
	if err != nil {
		return Interval{}, err
	}
	s, ok := f.problem.model.(Sigmoid)
	if !ok {
		return Interval{}, &Invalid{What: "model", Row: -1, Detail: "has no asymptote to take a share of"}
	}
	if !(share > 0 && share < 1) {
		return Interval{}, &Invalid{What: "share", Row: -1, Detail: fmt.Sprintf("is %v; it must be between 0 and 1", share)}
	}
	grad := make([]float64, len(f.Theta))
	x, ok := s.Inverse(share, f.Theta, grad)
	if out := interval(x, f.deltaSE(grad), t, level); ok && allFinite(x, out.SE, out.Lo, out.Hi) {
		return out, nil
	}
	return Interval{}, &Invalid{What: "share", Row: -1, Detail: fmt.Sprintf("is %v; the curve never stands at that share of its asymptote", share)}
}

func interval(value, se, t, level float64) Interval {
	return Interval{Value: value, SE: se, Lo: value - t*se, Hi: value + t*se, Level: level}
}

// deltaSE returns √(gᵀ·Covariance·g).
func (f *Fit) deltaSE(grad []float64) float64 {
	var v float64
	for j, row := range f.Covariance {
		v += grad[j] * dot(row, grad)
	}
	return math.Sqrt(math.Max(v, 0))
}

func (f *Fit) quantile(level float64) (float64, error) {
	if !(level > 0 && level < 1) {
		return 0, &Invalid{What: "level", Row: -1, Detail: fmt.Sprintf("is %v; it must be between 0 and 1", level)}
	}
	return studentT(level, float64(f.DF)), nil
}
