package thermal

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/estimate"
)

// Line is the straight line of the rate of development, 1/days, on temperature: rate = Intercept + Slope·T, by ordinary
// least squares. Development stops at BaseC = −Intercept/Slope and takes DegreeDays = 1/Slope above it (Arnold 1959,
// Proc. Am. Soc. Hort. Sci. 74:430–445).
type Line struct {
	Intercept, Slope     float64
	InterceptSE, SlopeSE float64
	Covariance           float64 // of the two
	RSquared, ResidualSD float64
	DF                   int
	BaseC, BaseSE        float64 // standard error by the delta method
	DegreeDays           float64
	DegreeDaysSE         float64 // by the delta method
}

// FitLine fits the line to the days that a phase took at constant temperatures. It needs three temperatures, not all alike.
func FitLine(airC, days []float64) (Line, error) {
	n := len(airC)
	if n != len(days) || n < 3 {
		return Line{}, fmt.Errorf("%d temperatures and %d times; a line with errors needs three of each", n, len(days))
	}
	rates := make([]float64, n)
	for i, d := range days {
		if !(d > 0) || math.IsInf(d, 0) || math.IsNaN(airC[i]) || math.IsInf(airC[i], 0) {
			return Line{}, fmt.Errorf("point %d: %v days at %v °C; give a positive number of days and a temperature", i+1, d, airC[i])
		}
		rates[i] = 1 / d
	}
	mean, spread := stat.Mean(airC, nil), 0.0
	for _, x := range airC {
		spread += (x - mean) * (x - mean)
	}
	if spread == 0 {
		return Line{}, fmt.Errorf("all temperatures are %v °C; a line needs different ones", airC[0])
	}
	l := Line{DF: n - 2}
	l.Intercept, l.Slope = stat.LinearRegression(airC, rates, nil, false)
	l.RSquared = stat.RSquared(airC, rates, nil, l.Intercept, l.Slope)
	var rss float64
	for i, x := range airC {
		e := rates[i] - l.Intercept - l.Slope*x
		rss += e * e
	}
	variance := rss / float64(l.DF)
	l.ResidualSD = math.Sqrt(variance)
	l.SlopeSE = math.Sqrt(variance / spread)
	l.InterceptSE = math.Sqrt(variance * (1/float64(n) + mean*mean/spread))
	l.Covariance = -mean * variance / spread
	l.BaseC, l.DegreeDays = -l.Intercept/l.Slope, 1/l.Slope
	// BaseC = −a/b has the gradient (−1/b, a/b²), DegreeDays = 1/b has −1/b².
	ga, gb := -1/l.Slope, l.Intercept/(l.Slope*l.Slope)
	l.BaseSE = math.Sqrt(ga*ga*l.InterceptSE*l.InterceptSE + gb*gb*l.SlopeSE*l.SlopeSE + 2*ga*gb*l.Covariance)
	l.DegreeDaysSE = l.SlopeSE / (l.Slope * l.Slope)
	return l, nil
}

// t is the quantile of Student's t for a two-sided interval at a level.
func (l Line) t(level float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(l.DF)}.Quantile(0.5 + level/2)
}

// BaseInterval is the interval of BaseC by Fieller's theorem (Fieller 1954, J. R. Stat. Soc. B 16:175–185). g is the square of
// t·SlopeSE/Slope; from 1 on the slope can't be told from zero, and there is no interval.
func (l Line) BaseInterval(level float64) (low, high, g float64, ok bool) {
	t := l.t(level)
	// All x with (a + b·x)² ≤ t²·Var(a + b·x): a quadratic in x.
	qa := l.Slope*l.Slope - t*t*l.SlopeSE*l.SlopeSE
	qb := 2 * (l.Intercept*l.Slope - t*t*l.Covariance)
	qc := l.Intercept*l.Intercept - t*t*l.InterceptSE*l.InterceptSE
	g = t * t * l.SlopeSE * l.SlopeSE / (l.Slope * l.Slope)
	root := qb*qb - 4*qa*qc
	if g >= 1 || root < 0 {
		return 0, 0, g, false
	}
	return (-qb - math.Sqrt(root)) / (2 * qa), (-qb + math.Sqrt(root)) / (2 * qa), g, true
}

// DegreeDaysInterval is the interval of DegreeDays, the reciprocals of the ends of the slope's; ok is false if that holds 0.
func (l Line) DegreeDaysInterval(level float64) (low, high float64, ok bool) {
	t := l.t(level)
	if l.Slope-t*l.SlopeSE <= 0 {
		return 0, 0, false
	}
	return 1 / (l.Slope + t*l.SlopeSE), 1 / (l.Slope - t*l.SlopeSE), true
}

// At returns the rate at a temperature and its standard error.
func (l Line) At(airC float64) (rate, standardError float64) {
	return l.Intercept + l.Slope*airC,
		math.Sqrt(l.InterceptSE*l.InterceptSE + airC*airC*l.SlopeSE*l.SlopeSE + 2*airC*l.Covariance)
}

// hyperbola is days = D/(T − Tb), the line seen from the days.
type hyperbola struct{}

func (hyperbola) Names() []string { return []string{"D", "Tb"} }

func (hyperbola) Value(x float64, theta []float64) float64 { return theta[0] / (x - theta[1]) }

func (hyperbola) Gradient(x float64, theta, grad []float64) float64 {
	grad[0] = 1 / (x - theta[1])
	grad[1] = theta[0] / ((x - theta[1]) * (x - theta[1]))
	return theta[0] / (x - theta[1])
}

// FitDays fits days = D/(T − Tb) by least squares on the days, where FitLine weighs the slow, cold points little.
func FitDays(airC, days []float64) (*estimate.Fit, error) {
	line, err := FitLine(airC, days)
	if err != nil {
		return nil, err
	}
	return estimate.LeastSquares(hyperbola{}, estimate.Data{X: airC, Y: days}, []float64{line.DegreeDays, line.BaseC})
}
