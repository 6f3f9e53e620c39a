package estimate

import "testing"

func benchmarkData(n int) Data {
	xs := make([]float64, n)
	for i := range xs {
		xs[i] = 60 * float64(i) / float64(n-1)
	}
	return curveData(Logistic{}, []float64{60, 30, 5}, xs)
}

// One descent from one start, without the checks of a search.
func BenchmarkLeastSquaresLogistic60(b *testing.B) { benchmarkOne(b, benchmarkData(60)) }
func BenchmarkLeastSquaresLogistic14(b *testing.B) { benchmarkOne(b, benchmarkData(14)) }

// What a caller pays for a curve: starts, five descents, checks.
func BenchmarkFitCurveLogistic60(b *testing.B) { benchmarkCurve(b, Logistic{}, benchmarkData(60)) }
func BenchmarkFitCurveLogistic14(b *testing.B) { benchmarkCurve(b, Logistic{}, benchmarkData(14)) }
func BenchmarkFitCurveGompertz60(b *testing.B) { benchmarkCurve(b, GompertzRate{}, benchmarkData(60)) }

func benchmarkOne(b *testing.B, d Data) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := LeastSquares(Logistic{}, d, []float64{50, 25, 8}); err != nil {
			b.Fatal(err)
		}
	}
}

func benchmarkCurve(b *testing.B, c Curve, d Data) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := FitCurve(c, d); err != nil {
			b.Fatal(err)
		}
	}
}
