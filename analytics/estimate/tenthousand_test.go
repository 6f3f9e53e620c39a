package estimate

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
)

// manySets are made-up logistic curves of 25 points with a wave on them, by a formula that any language can follow: testdata/fitspeed/nls.R
// fits the same.
func manySets(n int) []Data {
	part := func(v float64) float64 { return v - math.Floor(v) }
	sets := make([]Data, n)
	for s := range sets {
		a, t, w := 40+20*part(0.618*float64(s)), 85+10*part(0.414*float64(s)), 4+3*part(0.732*float64(s))
		for i := range 25 {
			x := 60 + 3*float64(i)
			sets[s].X = append(sets[s].X, x)
			sets[s].Y = append(sets[s].Y, a/(1+math.Exp((t-x)/w))+0.5*math.Sin(0.37*float64(s+1)*float64(i+1)))
		}
	}
	return sets
}

// BenchmarkTenThousandFits fits 10,000 curves: from one given start, as nls does, and from the family's own starts with all checks.
// VINETALLY_FITS_OUT names a file to write the coefficients to, for testdata/fitspeed/compare.sh.
func BenchmarkTenThousandFits(b *testing.B) {
	sets := manySets(10000)
	b.Run("FromOneStart", func(b *testing.B) {
		fits := make([]*Fit, len(sets))
		for b.Loop() {
			for s, d := range sets {
				f, err := LeastSquares(Logistic{}, d, []float64{50, 90, 5.5})
				if err != nil {
					b.Fatal(err)
				}
				fits[s] = f
			}
		}
		if path := os.Getenv("VINETALLY_FITS_OUT"); path != "" {
			var out strings.Builder
			for _, f := range fits {
				fmt.Fprintf(&out, "%.17g,%.17g,%.17g\n", f.Theta[0], f.Theta[1], f.Theta[2])
			}
			if err := os.WriteFile(path, []byte(out.String()), 0o600); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("Checked", func(b *testing.B) {
		for b.Loop() {
			for _, d := range sets {
				if _, err := FitCurve(Logistic{}, d); err != nil {
					b.Fatal(err)
				}
			}
		}
	})
}
