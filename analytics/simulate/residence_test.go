package simulate

import (
	"math"
	"testing"
)

// TestShapes: residence times have the mean and the coefficient of variation that are asked for, and quantiles, by which times are drawn, and
// distribution functions, by which they are judged, are of one distribution.
func TestShapes(t *testing.T) {
	for family := range families {
		for _, cv := range []float64{0.09, 0.35} {
			const mean, n = 5.5, 100000
			r := Shape{family, cv}.Residence(mean)
			sum, squares, worst := 0.0, 0.0, 0.0
			for i := range n {
				p := (float64(i) + 0.5) / n
				x := r.Quantile(p)
				sum, squares = sum+x, squares+x*x
				worst = math.Max(worst, math.Abs(r.CDF(x)-p))
			}
			got := math.Sqrt(squares/n-sum/n*sum/n) / (sum / n)
			if math.Abs(sum/n-mean) > 1e-3 || math.Abs(r.Mean()-mean) > 1e-9 || math.Abs(got-cv) > 1e-3 {
				t.Errorf("family %d: mean %v (says %v) and coefficient of variation %v, want %v and %v", family, sum/n, r.Mean(), got, mean, cv)
			}
			if worst > 1e-6 {
				t.Errorf("family %d: quantile and distribution function are %v apart", family, worst)
			}
		}
	}
}
