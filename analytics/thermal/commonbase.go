package thermal

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/estimate"
)

// CommonBase is several phases with one base temperature and a slope each: rate = Slope[i]·(T − BaseC).
type CommonBase struct {
	BaseC, BaseSE            float64
	Slope, SlopeSE           []float64
	DegreeDays, DegreeDaysSE []float64 // 1/Slope, error by the delta method
	RSS                      float64
	DF                       int
	// F compares it with a line of its own for each phase; P is its tail probability on DF1 and DF2 degrees of freedom.
	F, P     float64
	DF1, DF2 int
	// ParallelSlope is the one slope of parallel lines, each with an intercept (and so a base) of its own.
	ParallelSlope, ParallelSlopeSE float64
}

// phases is the regression function of CommonBase; x is the number of a point.
type phases struct {
	airC  []float64
	phase []int
	n     int
}

func (m phases) Names() []string {
	names := []string{"base"}
	for i := range m.n {
		names = append(names, fmt.Sprintf("slope %d", i+1))
	}
	return names
}

func (m phases) Value(x float64, theta []float64) float64 {
	return theta[1+m.phase[int(x)]] * (m.airC[int(x)] - theta[0])
}

func (m phases) Gradient(x float64, theta, grad []float64) float64 {
	clear(grad)
	grad[0] = -theta[1+m.phase[int(x)]]
	grad[1+m.phase[int(x)]] = m.airC[int(x)] - theta[0]
	return m.Value(x, theta)
}

// FitCommonBase fits the lines of several phases with one base temperature by least squares on the rates. airC[i] and
// days[i] are the points of phase i, three at least.
func FitCommonBase(airC, days [][]float64) (CommonBase, error) {
	m := phases{n: len(airC)}
	if len(days) != m.n || m.n < 2 {
		return CommonBase{}, fmt.Errorf("%d lists of temperatures and %d of times; a common base needs two phases", m.n, len(days))
	}
	var d estimate.Data
	start, own, ownDF := []float64{0}, 0.0, 0
	for i := range airC {
		line, err := FitLine(airC[i], days[i])
		if err != nil {
			return CommonBase{}, fmt.Errorf("phase %d: %w", i+1, err)
		}
		start[0] += line.BaseC / float64(m.n)
		start = append(start, line.Slope)
		own += line.ResidualSD * line.ResidualSD * float64(line.DF)
		ownDF += line.DF
		for j, t := range airC[i] {
			d.X, d.Y = append(d.X, float64(len(d.X))), append(d.Y, 1/days[i][j])
			m.airC, m.phase = append(m.airC, t), append(m.phase, i)
		}
	}
	f, err := estimate.LeastSquares(m, d, start)
	if err != nil {
		return CommonBase{}, err
	}
	c := CommonBase{BaseC: f.Theta[0], BaseSE: f.SE[0], Slope: f.Theta[1:], SlopeSE: f.SE[1:], RSS: f.RSS, DF: f.DF, DF1: f.DF - ownDF, DF2: ownDF}
	for i, slope := range c.Slope {
		c.DegreeDays = append(c.DegreeDays, 1/slope)
		c.DegreeDaysSE = append(c.DegreeDaysSE, c.SlopeSE[i]/(slope*slope))
	}
	c.F = (f.RSS - own) / float64(c.DF1) / (own / float64(c.DF2))
	c.ParallelSlope, c.ParallelSlopeSE = parallel(airC, days)
	c.P = distuv.F{D1: float64(c.DF1), D2: float64(c.DF2)}.Survival(c.F)
	return c, nil
}

// parallel is the slope of the rates on the temperatures within phases, and its standard error (analysis of covariance).
func parallel(airC, days [][]float64) (slope, se float64) {
	var xx, xy, yy float64
	df := -1
	for i := range airC {
		rates := make([]float64, len(days[i]))
		for j, d := range days[i] {
			rates[j] = 1 / d
		}
		mx, my := stat.Mean(airC[i], nil), stat.Mean(rates, nil)
		for j, y := range rates {
			x := airC[i][j] - mx
			xx, xy, yy = xx+x*x, xy+x*(y-my), yy+(y-my)*(y-my)
		}
		df += len(rates) - 1
	}
	slope = xy / xx
	return slope, math.Sqrt((yy - slope*xy) / float64(df) / xx)
}
