package estimate

// Model is a regression function f(x; θ) of one predictor with an analytic gradient.
//
// Value and Gradient must be pure. They may return NaN or ±Inf where the model is not defined: the search steps back from
// such points. Gradient writes ∂f/∂θⱼ to grad[j] and returns f, since both come out of the same terms; len(grad) =
// len(theta) = len(Names()).
type Model interface {
	Names() []string
	Value(x float64, theta []float64) float64
	Gradient(x float64, theta, grad []float64) float64
}

// Curve is a Model that can find its own starting values and say what is a runaway.
type Curve interface {
	Model
	// Family is a stable lower-case name, such as "logistic".
	Family() string
	// Starts returns several different starting points read off the data, the most promising first. It returns Invalid
	// if the family is not defined for the data.
	Starts(d Data) ([][]float64, error)
	// Limits returns what must stay inside a range for the fit to be believed, measured at theta. The limits are not
	// imposed on the search; a fit that ends on or beyond one is refused.
	Limits(d Data, theta []float64) []Limit
}

// Sigmoid is a Curve with an asymptote that is approached from below (or, mirrored, from above).
type Sigmoid interface {
	Curve
	// Asymptote is the level that the curve approaches.
	Asymptote(theta []float64) float64
	// Inverse returns the x at which the curve stands at the given share, 0 < share < 1, of its asymptote, and writes
	// ∂x/∂θⱼ to grad unless that is nil. ok is false if the curve never stands there.
	Inverse(share float64, theta, grad []float64) (x float64, ok bool)
}

// Rising is a Sigmoid that tells how fast it rises.
type Rising interface {
	Sigmoid
	// Slope is the derivative with respect to x.
	Slope(x float64, theta []float64) float64
	// Steepest is the x at which the curve rises fastest.
	Steepest(theta []float64) float64
}

// Canonical is implemented by a Model of which two different parameter vectors can be the same curve.
type Canonical interface {
	// Canonical returns the one of the equal vectors to report; it may return theta itself but must not change it.
	Canonical(theta []float64) []float64
}

// reparameterised is a Curve that is fitted as another, better conditioned one, and then mapped.
type reparameterised interface {
	Curve
	inner() Curve
	fromInner(theta []float64) []float64
}

// Limit is one measured quantity and the open range that it must lie in.
type Limit struct {
	Name          string
	Value, Lo, Hi float64
}
