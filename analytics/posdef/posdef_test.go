package posdef_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"vinetally/analytics/posdef"
)

const worst = 1e13

// Hand-worked: the determinant of (4 2; 2 3) is 8, so its inverse is (3 −2; −2 4)/8.
func TestHandWorked(t *testing.T) {
	a := mat.NewSymDense(2, []float64{4, 2, 2, 3})
	x, ok := posdef.Solve(a, []float64{8, 16}, worst)
	inverse, also := posdef.Invert(a, worst)
	if !ok || !also {
		t.Fatal("refused")
	}
	near(t, x, []float64{-1, 6})
	near(t, inverse[0], []float64{3. / 8, -2. / 8})
	near(t, inverse[1], []float64{-2. / 8, 4. / 8})
}

// Hand-worked: (1 2)·(3 −1; −1 4)·(1; 2) is 3 − 4 + 16.
func TestQuadratic(t *testing.T) {
	if got := posdef.Quadratic([][]float64{{3, -1}, {-1, 4}}, []float64{1, 2}); got != 15 {
		t.Errorf("got %v, want 15", got)
	}
}

// Seconds and years side by side are no dependence.
func TestUnitsDoNotMatter(t *testing.T) {
	const u = 1e9
	x, ok := posdef.Solve(mat.NewSymDense(2, []float64{4 * u * u, 2 * u, 2 * u, 3}), []float64{8 * u, 16}, worst)
	if !ok {
		t.Fatal("refused for its units")
	}
	near(t, x, []float64{-1 / u, 6})
}

func TestRefused(t *testing.T) {
	nan := math.NaN()
	for name, a := range map[string][]float64{
		"columns that are one": {1, 1, 1, 1},
		"almost one":           {1, 1 - 1e-15, 1 - 1e-15, 1},
		"a saddle":             {1, 2, 2, 1},
		"a column of zeros":    {1, 0, 0, 0},
		"downwards":            {-1, 0, 0, 1},
		"no number":            {nan, 0, 0, 1},
		"no number beside":     {1, nan, nan, 1},
	} {
		if _, ok := posdef.Solve(mat.NewSymDense(2, a), []float64{1, 1}, worst); ok {
			t.Errorf("%s was solved", name)
		}
		if _, ok := posdef.Invert(mat.NewSymDense(2, a), worst); ok {
			t.Errorf("%s was inverted", name)
		}
	}
}

func near(t *testing.T, got, want []float64) {
	t.Helper()
	for i := range want {
		if math.Abs(got[i]-want[i]) > 1e-14*math.Abs(want[i]) {
			t.Errorf("got %v, want %v", got, want)
			return
		}
	}
}
