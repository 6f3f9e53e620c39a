package ripening

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestMissedReadings: what a clock will have counted in days ahead is known as well as is said, also where the last days have no readings. The series is a first-order
// autoregression of φ = 0.8, whose errors are known by simulation.
func TestMissedReadings(t *testing.T) {
	const days, trials, sd = 7, 1500, 0.1
	for _, missed := range []int{0, 3, 10} {
		rng := rand.New(rand.NewPCG(1, 2))
		var errors, told, held [days]float64
		for range trials {
			u := sd / math.Sqrt(1-0.8*0.8) * rng.NormFloat64()
			var past []advance
			var day []float64
			var truth [days]float64
			sum := 0.0
			for d := -90; d < days; d++ {
				u = 0.8*u + sd*rng.NormFloat64()
				if d < -missed {
					past, day = append(past, advance{growing: 1 + u}), append(day, float64(d))
				}
				if d >= 0 {
					sum += 1 + u
					truth[d] = sum
				}
			}
			mean, spread := autoregress(past, day, func(a advance) float64 { return a.growing }, days)
			sum = 0
			for d := range days {
				sum += mean[d]
				sigma := sum * math.Sqrt(spread[d]*spread[d]-clockSpread*clockSpread)
				off := truth[d] - sum
				errors[d], told[d] = errors[d]+off*off, told[d]+sigma*sigma
				if math.Abs(off) < 1.2816*sigma {
					held[d]++
				}
			}
		}
		for d := range days {
			if r := math.Sqrt(errors[d] / told[d]); r < 0.85 || r > 1.15 || held[d] < 0.74*trials || held[d] > 0.86*trials {
				t.Errorf("%d days without readings, %d ahead: errors are %.2f times the standard deviation that is told, 80 %% intervals hold %.0f %%", missed, d+1, r, 100*held[d]/trials)
			}
		}
	}
}
