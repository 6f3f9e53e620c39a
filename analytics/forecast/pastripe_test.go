package forecast_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/ledger"
	"vinetally/analytics/pastripe"
	"vinetally/analytics/ripening"
	"vinetally/analytics/simulate"
)

// leftToHang are ways of keeping plants in which much ripe fruit hangs past its hold time: neglected ones, as they are scored; picked still less, of fruit
// that holds longer; the same where fallen fruit is found and written down; hardly picked at all.
func leftToHang() []simulate.Conduct {
	with := func(name string, change func(*simulate.Conduct)) simulate.Conduct {
		c, _ := simulate.Named("neglected")
		c.Name = name
		change(&c)
		return c
	}
	return []simulate.Conduct{
		with("neglected", func(*simulate.Conduct) {}),
		with("seldom picked", func(c *simulate.Conduct) { c.PickRipe, c.Drop = 0.2, 18 }),
		with("firm and found", func(c *simulate.Conduct) { c.PickRipe, c.Drop, c.Logged = 0.2, 22, 0.8 }),
		with("left to itself", func(c *simulate.Conduct) { c.PickRipe, c.Drop, c.Logged = 0.1, 18, 0.5 }),
	}
}

// hung sums up what was said of fruit past ripe, and what was.
type hung struct {
	plants, truth, expected        float64
	off, certainOff                float64 // absolute errors of what is expected, and of what is certain
	plantsIn, seasons, seasonsIn90 float64 // 90 % intervals that hold the truth
}

func (h *hung) see(w *simulate.World, m *ripening.Model, cut *crop.Trial, asOf time.Time) {
	f := forecast.Of(m, forecast.Options{Days: 1})
	certain := map[crop.ID]float64{}
	for _, r := range cut.ByPlant() {
		certain[r.Plant.ID] = float64(pastripe.Of(r, ledger.Of(r), asOf, crop.DefaultHoldDays).Certain)
	}
	in := func(x *forecast.PastRipe, n int) float64 {
		if x.Distribution.Quantile(0.05) <= n && n <= x.Distribution.Quantile(0.95) {
			return 1
		}
		return 0
	}
	total := 0
	for i := range f.Plants {
		x := &f.Plants[i]
		n := w.PastRipe(slices.IndexFunc(w.Plants, func(p simulate.Plant) bool { return p.ID == x.ID }), asOf, crop.DefaultHoldDays)
		total += n
		h.plants, h.truth, h.expected = h.plants+1, h.truth+float64(n), h.expected+x.PastRipe.Mean
		h.off, h.certainOff = h.off+math.Abs(x.PastRipe.Mean-float64(n)), h.certainOff+math.Abs(certain[x.ID]-float64(n))
		h.plantsIn += in(&x.PastRipe, n)
	}
	if f.PastRipe != nil {
		h.seasons, h.seasonsIn90 = h.seasons+1, h.seasonsIn90+in(f.PastRipe, total)
	}
}

func (h *hung) add(x hung) {
	h.plants, h.truth, h.expected, h.off, h.certainOff = h.plants+x.plants, h.truth+x.truth, h.expected+x.expected, h.off+x.off, h.certainOff+x.certainOff
	h.plantsIn, h.seasons, h.seasonsIn90 = h.plantsIn+x.plantsIn, h.seasons+x.seasons, h.seasonsIn90+x.seasonsIn90
}

func (h *hung) log(t *testing.T, name string) {
	t.Helper()
	t.Logf("%-18s: past ripe %.0f, expected %.1f; absolute errors sum to %.1f, of what is certain to %.0f (%.2f); 90 %% intervals hold %.0f %% of plants, %.0f %% of seasons",
		name, h.truth, h.expected, h.off, h.certainOff, h.off/h.certainOff, 100*h.plantsIn/h.plants, 100*h.seasonsIn90/h.seasons)
}

// TestPastRipe: where ripe fruit is left to hang, what is expected past ripe is nearer the truth than what is certain, right on average, and its intervals
// hold. Where nearly all is picked in time, what is certain (hardly anything) is nearly always right to the fruit, and a mean that isn't a whole number
// can't be; the conducts of the scores are printed for that.
func TestPastRipe(t *testing.T) {
	conducts, seeds := trials(t)
	var all, left hung
	of := func(c simulate.Conduct, seeds int) (h hung) {
		watched([]simulate.Conduct{c}, seeds, h.see)
		h.log(t, c.Name)
		return h
	}
	for _, c := range conducts {
		all.add(of(c, seeds))
	}
	all.log(t, "all of these")
	for _, c := range leftToHang() {
		h := of(c, max(seeds, 2))
		left.add(h)
		if ratio := h.expected / h.truth; seeds >= seedsToJudge && !(0.75 <= ratio && ratio <= 1.25) {
			t.Errorf("%s: %v are expected past ripe, %v are", c.Name, h.expected, h.truth)
		}
	}
	left.log(t, "left to hang")
	if left.off > 0.6*left.certainOff {
		t.Errorf("what is expected past ripe is off by %v fruit, what is certain by %v", left.off, left.certainOff)
	}
	if ratio := left.expected / left.truth; !(0.8 <= ratio && ratio <= 1.25) {
		t.Errorf("%v are expected past ripe, %v are", left.expected, left.truth)
	}
	if left.plantsIn < 0.88*left.plants || left.seasonsIn90 < 0.8*left.seasons {
		t.Errorf("90 %% intervals hold %v of %v plants and %v of %v seasons", left.plantsIn, left.plants, left.seasonsIn90, left.seasons)
	}
}
