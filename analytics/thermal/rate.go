package thermal

import (
	"math"

	"gonum.org/v1/gonum/interp"
)

// ReferenceC is the temperature at which a day is a standard day.
const ReferenceC = 20

// Rate is how fast a phase goes at a temperature, relative to ReferenceC: standard days a day.
//
// It is a monotone cubic (Fritsch and Butland 1984, SIAM J. Sci. Stat. Comput. 5:300–304) through 1/days of a published table
// and through zero at its base temperature; nothing happens below that, and above the warmest point it goes on as there.
type Rate struct {
	table  Table
	curve  interp.FritschButland
	lo, hi float64 // base and warmest temperature
	errors []float64
}

// step of the errors' grid, °C.
const errorStep = 0.1

// Colouring is the rate from first colour to ripe.
func Colouring() *Rate { return newRate(colouringTable) }

// Growing is the rate from flower to first colour. The table goes to ripe fruit, of which colouring is a small part.
func Growing() *Rate { return newRate(growingTable) }

func newRate(t Table) *Rate {
	r := &Rate{table: t, lo: t.BaseC, hi: t.AirC[len(t.AirC)-1]}
	r.curve = relative(t)
	steps := int(math.Ceil((r.hi-r.lo)/errorStep)) + 1
	variance := make([]float64, steps)
	for _, other := range perturbed(t) {
		curve := relative(other)
		for i := range variance {
			at := r.lo + float64(i)*errorStep
			d := value(&curve, other.BaseC, r.hi, at) - r.value(at)
			variance[i] += d * d
		}
	}
	r.errors = variance
	for i, v := range variance {
		r.errors[i] = math.Sqrt(v)
	}
	return r
}

// relative is the curve through a table's rates over that at ReferenceC.
func relative(t Table) interp.FritschButland {
	xs, ys := []float64{t.BaseC}, []float64{0}
	for i := range t.AirC {
		xs, ys = append(xs, t.AirC[i]), append(ys, 1/t.Days[i])
	}
	var raw, curve interp.FritschButland
	fit(&raw, xs, ys)
	at := raw.Predict(ReferenceC)
	for i := range ys {
		ys[i] /= at
	}
	fit(&curve, xs, ys)
	return curve
}

// fit panics only if a table of this package isn't in order.
func fit(curve *interp.FritschButland, xs, ys []float64) {
	if err := curve.Fit(xs, ys); err != nil {
		panic(err)
	}
}

// perturbed are the table with one of its numbers moved by its standard error: a time given in whole days by that of
// rounding, half a day over √3, and the base by its own.
func perturbed(t Table) []Table {
	var all []Table
	for i := range t.Days {
		other := t
		other.Days = append([]float64(nil), t.Days...)
		other.Days[i] += 0.5 / math.Sqrt(3)
		all = append(all, other)
	}
	other := t
	other.BaseC += t.BaseSE
	return append(all, other)
}

// Table is the published table behind the rate.
func (r *Rate) Table() Table { return r.table }

// At returns the standard days a day at a temperature, and their standard error. The error is that of a table of rounded
// days and of its base temperature, worked out by moving each by its standard error; what sets this cultivar or plant apart
// from the table's isn't in it. It is the same error every day, so over many days errors add up.
func (r *Rate) At(airC float64) (rate, standardError float64) {
	rate = r.value(airC)
	i := (min(max(airC, r.lo), r.hi) - r.lo) / errorStep
	below := min(int(i), len(r.errors)-2)
	part := i - float64(below)
	return rate, r.errors[below]*(1-part) + r.errors[below+1]*part
}

func (r *Rate) value(airC float64) float64 { return value(&r.curve, r.lo, r.hi, airC) }

func value(curve *interp.FritschButland, lo, hi, airC float64) float64 {
	if airC <= lo {
		return 0
	}
	return curve.Predict(min(airC, hi))
}
