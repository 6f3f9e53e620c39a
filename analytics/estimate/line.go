package estimate

// Line is the straight line y = a + b·x: a at x = 0, b per unit of x. It has no asymptote; it is a candidate to compare
// the growth curves with.
type Line struct{}

func (Line) Family() string  { return "linear" }
func (Line) Names() []string { return []string{"a", "b"} }

func (Line) Value(x float64, theta []float64) float64 { return theta[0] + theta[1]*x }

func (Line) Gradient(x float64, theta, grad []float64) float64 {
	grad[0], grad[1] = 1, x
	return theta[0] + theta[1]*x
}

// Starts are the closed form and three lines away from it.
func (Line) Starts(d Data) ([][]float64, error) {
	a, b, _ := simpleLine(d, d.X, false)
	if !allFinite(a, b) {
		a, b = 0, 0
	}
	return append([][]float64{{a, b}, {a + 1, b}, {a, b + 1}}, []float64{a - 1, b - 1}), nil
}

// Limits: a line has none.
func (Line) Limits(Data, []float64) []Limit { return nil }
