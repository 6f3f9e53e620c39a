package curve

import (
	"errors"
	"strings"

	"vinetally/analytics/estimate"
)

// fitFamily fits one family: from three starts read off the counts, which nearly always lead to one curve, and if they
// don't, from the family's own five, of which three have to agree. A level that runs away does so from any start.
func fitFamily(family estimate.Rising, d estimate.Data) (*estimate.Fit, error) {
	f, err := estimate.FitCurve(quick{family}, d)
	if no, ok := errors.AsType[*estimate.NoFit](err); ok && !strings.HasPrefix(no.Name, estimate.CheckLimit) {
		return estimate.FitCurve(family, d)
	}
	return f, err
}

// quick is a family with fewer starts. They differ in the level (as high as the counts came, and half as high again) and
// in the steepness, and lie near enough for a short descent.
type quick struct{ estimate.Rising }

// Starts returns (a, k, t0) such that the curve passes through the days at which a fifth and four fifths of the highest
// count were reached; the third is twice as steep about its middle.
func (q quick) Starts(d estimate.Data) ([][]float64, error) {
	top := 0.0
	for _, y := range d.Y {
		top = max(top, y)
	}
	lo, hi := reaches(d, 0.2*top), reaches(d, 0.8*top)
	width := max(hi-lo, 1e-3*(d.X[len(d.X)-1]-d.X[0]), 1e-6)
	through := func(level float64) []float64 {
		zlo, zhi := q.z(0.2/level), q.z(0.8/level)
		k := (zhi - zlo) / width
		return []float64{level * top, k, lo - zlo/k}
	}
	near, far := through(1), through(1.5)
	middle := near[2] + q.z(0.5)/near[1]
	steep := []float64{top, 2 * near[1], middle - q.z(0.5)/(2*near[1])}
	return [][]float64{near, far, steep}, nil
}

// z is the standardised day k·(x−t0) at which the family stands at a share of its level.
func (q quick) z(share float64) float64 {
	z, _ := q.Inverse(share, []float64{1, 1, 0}, nil)
	return z
}

// reaches returns the x at which y first comes up to a value, on the straight line between two points. The points are in
// the order of x.
func reaches(d estimate.Data, value float64) float64 {
	for i, y := range d.Y {
		switch {
		case y < value:
		case i == 0 || d.Y[i-1] == y:
			return d.X[i]
		default:
			return d.X[i-1] + (d.X[i]-d.X[i-1])*(value-d.Y[i-1])/(y-d.Y[i-1])
		}
	}
	return d.X[len(d.X)-1]
}
