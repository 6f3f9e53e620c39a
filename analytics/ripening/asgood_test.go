package ripening

import (
	"fmt"
	"math"
	"os"
	"strconv"
	"sync"
	"testing"
	"time"

	"vinetally/analytics/countdist"
	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
	"vinetally/analytics/simulate"
	"vinetally/analytics/simulate/scoring"
)

// told is a forecaster that is told all of the truth that a model could ever learn: how long the fruit of a plant stay in each stage, how its clocks run and
// will run, how the keeper counts and picks. What it isn't told is which fruit entered its stage when: that it has from the records.
func told(forecast func(c chain, h *History, to *ahead, days []int) []scoring.Distribution) scoring.Forecaster {
	return func(w *simulate.World, cut *crop.Trial, asOf time.Time, days []int) [][]scoring.Distribution {
		records := cut.ByPlant()
		clocks := NewClocks(cut.Temperatures, cut)
		all := make([][]scoring.Distribution, len(records))
		var wait sync.WaitGroup
		for i := range records {
			wait.Go(func() {
				book := ledger.Of(records[i])
				h := NewHistory(records[i], &book, clocks, asOf)
				truly := func(from, to time.Time) advance {
					p := &w.Plants[i]
					a, b := w.Hour(from), w.Hour(to)
					return advance{
						growing: simulate.Count(p.Growing, b) - simulate.Count(p.Growing, a), colouring: simulate.Count(p.Colouring, b) - simulate.Count(p.Colouring, a),
						days: to.Sub(from).Hours() / 24,
					}
				}
				for k := range h.events {
					e := &h.events[k]
					e.since = truly(e.at.Add(-time.Duration(e.since.days*24*float64(time.Hour))), e.at)
				}
				to := &ahead{perDay: 1}
				for d := range days[len(days)-1] {
					to.steps = append(to.steps, truly(asOf.AddDate(0, 0, d), asOf.AddDate(0, 0, d+1)))
				}
				all[i] = forecast(trueChain(w, i), h, to, days)
			})
		}
		wait.Wait()
		return all
	}
}

// trueChain is what a model could learn of a plant at best.
func trueChain(w *simulate.World, plant int) chain {
	k := &w.Conduct
	hazard := 2.5 / k.Drop * math.Pow(10/k.Drop, 1.5) // at ten days, of a Weibull time of shape 2.5
	c := chain{
		unripe: simulate.Red, detect: k.SeenGreen, confuse: k.Confused, loss: hazard * (1 - k.Logged), found: hazard * k.Logged,
		taken: make([]float64, simulate.Red),
	}
	c.taken[simulate.Turning] = k.PickTurning * 2 / (k.Every[0] + k.Every[1])
	for _, r := range w.Plants[plant].Residences {
		mean, square := 0.0, 0.0
		const n = 1000
		for i := range n {
			x := r.Quantile((float64(i) + 0.5) / n)
			mean, square = mean+x/n, square+x*x/n
		}
		c.mean = append(c.mean, mean)
		c.survival = append(c.survival, newSurvival(math.Sqrt(square-mean*mean)/mean))
	}
	return c
}

// filtered forecasts as the product does, by means and covariances.
func filtered(c chain, h *History, to *ahead, days []int) []scoring.Distribution {
	p, t := newPasser(), &tape{}
	p.run(h, &c, t)
	p.state.settle(c.unripe)
	r := p.state.coming(&c, to)
	var all []scoring.Distribution
	for _, d := range days {
		x := countdist.Matched(math.Max(r.mean[d-1], 0.005), r.variance[d-1])
		all = append(all, append(make(scoring.Distribution, x.Offset), x.P...))
	}
	return all
}

// followed forecasts by particles.
func followed(lives int) func(c chain, h *History, to *ahead, days []int) []scoring.Distribution {
	return func(c chain, h *History, to *ahead, days []int) []scoring.Distribution {
		p := newParticles(c, lives, 1)
		p.run(h)
		var all []scoring.Distribution
		for _, x := range p.ahead(to, days) {
			all = append(all, x)
		}
		return all
	}
}

// TestAsGoodAsExact holds the filter against particles where both are told the truth of everything but the single fruit. The filter may lose little more than
// they do: that is what means and covariances cost. What both lose beyond the bound is what counts don't tell of ages, whatever one does with
// them. With VINETALLY_SCORE_SEEDS it goes through the first five conducts of the score with so many seeds, whose counts are whole and whose ripe fruit doesn't
// fall in numbers, which would take more lives.
func TestAsGoodAsExact(t *testing.T) {
	conducts, seeds, lives := simulate.Conducts()[:1], 1, 1000
	if s := os.Getenv("VINETALLY_SCORE_SEEDS"); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil || n < 1 {
			t.Fatalf("VINETALLY_SCORE_SEEDS is %q, want a number of seeds", s)
		}
		conducts, seeds, lives = simulate.Conducts()[:5], n, 10000
	}
	type sums struct{ bound, filter, particles, apart, n float64 }
	all := map[int]*sums{}
	for _, h := range scoring.Horizons {
		all[h] = &sums{}
	}
	for _, c := range conducts {
		by := map[int]*sums{}
		for _, h := range scoring.Horizons {
			by[h] = &sums{}
		}
		for seed := range seeds {
			w := simulate.New(c, uint64(seed+1))
			run := func(f scoring.Forecaster) []scoring.Case { return scoring.Run(f, w, uint64(seed), scoring.AfterRound) }
			bound, filter, exact := run(scoring.Bound), run(told(filtered)), run(told(followed(lives)))
			for i := range bound {
				for _, s := range []*sums{all[bound[i].Ahead], by[bound[i].Ahead]} {
					s.bound, s.filter, s.particles, s.n = s.bound+bound[i].Loss, s.filter+filter[i].Loss, s.particles+exact[i].Loss, s.n+1
					s.apart += math.Abs(filter[i].Mean - exact[i].Mean)
				}
			}
		}
		row := fmt.Sprintf("%-15s", c.Name)
		for _, h := range scoring.Horizons {
			s := by[h]
			row += fmt.Sprintf(" | %2d days, of the bound's loss: filter %.2f particles %.2f", h, s.filter/s.bound, s.particles/s.bound)
		}
		t.Log(row)
	}
	for _, h := range scoring.Horizons {
		s := all[h]
		t.Logf("%2d days: of the bound's loss the filter %.3f, particles %.3f; means %.2f fruit apart", h, s.filter/s.bound, s.particles/s.bound, s.apart/s.n)
		if most := 0.1 + 0.025*float64(h); s.apart > most*s.n {
			t.Errorf("%d days: the two means are %.2f fruit apart, more than %.2f", h, s.apart/s.n, most)
		}
		if len(conducts) > 1 && s.filter > 1.05*s.particles { // of one trial chance alone is as much
			t.Errorf("%d days: the filter loses %.3f, particles %.3f", h, s.filter/s.n, s.particles/s.n)
		}
	}
}
