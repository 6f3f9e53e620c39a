package forecast_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// TestFarFromPublished: a cultivar whose fruit are green for far shorter or longer than published is recognised when a few have coloured, and what will
// be ripe follows from it. Five plants in 20 °C set three fruit every two days from day 46 on; all are counted every other day without a mistake and
// picked when ripe.
func TestFarFromPublished(t *testing.T) {
	spread := []float64{0.99, 0.88, 1.06, 0.95, 1.1, 1.02}
	sown := instant("2026-01-01T00:00:00Z")
	for _, green := range []float64{27, 30, 33, 37, 42, 48, 55} {
		type fruit struct{ plant, set, breaker, turning, red float64 }
		var all []fruit
		for plant := range 5 {
			for k := range 30 {
				set := 46 + 0.7*float64(plant) + 2*float64(k)/3
				breaker := set + green*spread[(k+plant)%6]
				all = append(all, fruit{float64(plant), set, breaker, breaker + 2.5, breaker + 8})
			}
		}
		scripts := make([]string, 5)
		picked := map[int]bool{}
		for day := 44.6; day < 125; day += 2 {
			at := sown.Add(time.Duration(day * 24 * float64(time.Hour))).Format(time.RFC3339)
			for plant := range scripts {
				var n [4]int
				ripe := 0
				for i, x := range all {
					if int(x.plant) != plant || x.set > day || picked[i] {
						continue
					}
					stage := 0
					for _, enters := range []float64{x.breaker, x.turning, x.red} {
						if day >= enters {
							stage++
						}
					}
					if n[stage]++; stage == 3 {
						ripe++
						picked[i] = true
					}
				}
				scripts[plant] += fmt.Sprintf("count %s green=%d breaker=%d turning=%d red=%d\n", at, n[0], n[1], n[2], n[3])
				if ripe > 0 {
					scripts[plant] += fmt.Sprintf("pick %s red %d\n", at, ripe)
				}
			}
		}
		trial := trialOf(t, scripts...)
		for i := range trial.Plants {
			trial.Plants[i].SownOn = &crop.Date{Year: 2026, Month: 1, Day: 1}
		}
		warm(trial, here, "2026-01-01T00:00:00Z", 130, 3*time.Hour, func(float64) float64 { return 20 })
		for day := 44.7; day < 120; day += 2 {
			coloured, truth := 0, 0
			for _, x := range all {
				if x.breaker < day-0.1 {
					coloured++
				}
				if x.red > day && x.red <= day+14 {
					truth++
				}
			}
			if coloured < 25 || coloured > 100 {
				continue
			}
			asOf := sown.Add(time.Duration(day * 24 * float64(time.Hour)))
			f := forecastOf(t, trial, asOf)
			r, next := f.Cultivars[0].Residence[0].MeanDays, f.Season[13]
			mean := green * 0.99 // of fruit that have all coloured; the first to colour are the quickest
			line := fmt.Sprintf("%v days in green, on day %.1f %d have coloured: %.1f days (%.1f to %.1f), %.0f ripe in 14 days where %d are", green, day, coloured, r.Value, r.Low, r.High, next.Mean, truth)
			if math.Abs(math.Log(r.Value/mean)) > 0.12 || math.Abs(next.Mean-float64(truth)) > 0.3*float64(truth)+5 {
				t.Error(line)
			} else if testing.Verbose() {
				t.Log(strings.TrimSpace(line))
			}
		}
	}
}
