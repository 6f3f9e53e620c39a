package ripening

import (
	"math"

	"vinetally/analytics/crop"
	"vinetally/analytics/internal/parallel"
)

// surprise is a count that the model didn't expect, or a removal of more than can have hung.
type surprise struct {
	plant    int // among the histories
	visit    crop.ID
	removal  *removal // nil for a count; visit is the last one before it
	distance float64  // squared, in standard deviations, over all numbers of the count
	numbers  int
	stage    int // that is furthest off, −1 for the total
	seen     float64
	expected float64
	sd       float64
}

// Unripe fruit dries, cracks or is eaten now and then, and some of it nobody finds: 2.5 % of green fruit in 50 days (a judgement), which weighs as much as what
// became of so many fruit-days.
const usualGone, usualStood = 0.0005, 200

// habits goes through all plants once more: how often fruit is picked or goes by itself before it is ripe, and which counts are surprising.
func (f *fit) habits(histories []*History) {
	n := f.layout.unripe
	type one struct {
		early, gone, stood []float64
		ripe               float64
		surprises          []surprise
	}
	all := make([]one, len(histories))
	parallel.With(len(histories), func() func(int) {
		w := &worker{pass: newPasser()}
		return func(i int) {
			c := f.chain(i)
			w.pass.run(histories[i], &c, &w.tape)
			all[i] = one{append([]float64(nil), w.tape.early...), append([]float64(nil), w.tape.gone...), append([]float64(nil), w.tape.stood...), w.tape.ripe, append([]surprise(nil), w.tape.surprises...)}
		}
	})
	early, gone, stood, ripe := make([]float64, n), make([]float64, n), make([]float64, n), 0.0
	for i := range all {
		for s := range n {
			early[s] += all[i].early[s]
			gone[s] += all[i].gone[s]
			stood[s] += all[i].stood[s]
		}
		ripe += all[i].ripe
		for _, x := range all[i].surprises {
			x.plant = i
			f.surprises = append(f.surprises, x)
		}
	}
	// Some that were called nearly ripe were ripe, and of those far more is picked: only what is well beyond that is a habit. Twice the confusion of counts
	// is taken off, and a tenth of a fruit in thirty fruit-days added for what is usual (judged on simulated trials, most of whose keepers pick one in fifty
	// of the nearly ripe fruit at each visit, some a sixth or a third); of fruit that isn't nearly ripe a twentieth in as many as of what goes by itself.
	early[n-1] = math.Max(0, early[n-1]-2*ripeConfused*logistic(f.theta[f.layout.confuse()])*ripe)
	f.lost = 0
	for s := range n {
		f.lost += early[s] + gone[s]
	}
	f.early, f.gone, f.taken = make([]float64, n), make([]float64, n), make([]float64, n)
	for s := range n {
		usual, days := 0.05, float64(usualStood)
		if s == n-1 {
			usual, days = 0.1, 30
		}
		f.early[s] = (early[s] + usual) / (stood[s] + days)
		f.gone[s] = (gone[s] + usualGone*usualStood) / (stood[s] + usualStood)
		f.taken[s] = f.early[s] + f.gone[s]
	}
}
