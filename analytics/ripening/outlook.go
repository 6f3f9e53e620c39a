package ripening

import (
	"math"
	"slices"

	"vinetally/analytics/internal/parallel"
)

// Outlook is what becomes of one plant's fruit. Numbers by day are up to the end of each day ahead, the first at index 0.
type Outlook struct {
	Plant *Plant
	// Weathers are the weather as expected, cooler and warmer, at the points of Normal.
	Weathers []Weathered
	// PastRipe is how much ripe fruit is past the hold time now, RipeAges the expected ripe fruit by whole days that they have
	// hung, the last entry for all older.
	PastRipe Number
	RipeAges []float64
	// Falls is the hazard a day at which ripe fruit of ten days' age falls or goes without a record (see Falling).
	Falls float64
	// Standing is the fruit in each stage now.
	Standing []Number
	// Later is how much of the fruit that has set and isn't ripe is expected to be by the end of each of the next 112 days, the weather
	// staying as it is forecast to be at the end of the forecast.
	Later []float64
	// Ripening is how much of it is expected to become ripe on the plant at all.
	Ripening float64
	Count    Counting

	run    stretch
	unseen unseen
	spread []float64   // of the weather, by day
	shared [][]float64 // by step of run: derivatives with respect to the cultivar's parameters, the plant's effect following them
	own    []float64   // by step: derivative with respect to the plant's effect, in its standard deviations given the parameters
	// bent is what bending added to the expected number by the end of each day, for what plants of a cultivar share, bentOwn for what they don't.
	bent, bentOwn []float64
}

// Weathered is a forecast given how warm it gets.
type Weathered struct {
	Weight float64
	Mean   []float64 // newly ripe fruit
	// Variance given the parameters.
	Variance []float64
}

// Normal is three-point Gauss–Hermite quadrature: a mean over it is nearly one over a standard normal Z.
var Normal = [...]struct{ Z, Weight float64 }{{0, 2.0 / 3}, {-math.Sqrt(3), 1.0 / 6}, {math.Sqrt(3), 1.0 / 6}}

// Number is an expected number of fruit and its variance.
type Number struct{ Mean, Variance float64 }

// longestHang is up to how many days ripe fruit are told apart by how long they have hung.
const longestHang = 30

// Outlook forecasts a plant that isn't gone. Hold is the hold time in days.
func (m *Model) Outlook(p *Plant, w *Weather, hold float64) *Outlook {
	o := outlooker{pass: newPasser()}
	return o.outlook(p, w, hold)
}

// Outlooks forecasts every plant that isn't gone; the others' are nil. The weather is asked for once a plant.
func (m *Model) Outlooks(weather func(*Plant) *Weather, hold func(*Plant) float64) []*Outlook {
	all := make([]*Outlook, len(m.Plants))
	moved := map[*Cultivar][][]*survival{}
	for _, v := range m.Cultivars {
		moved[v] = v.fit.movedTables()
	}
	parallel.With(len(m.Plants), func() func(int) {
		o := outlooker{pass: newPasser(), moved: moved}
		return func(i int) {
			if p := m.Plants[i]; !p.Gone {
				all[i] = o.outlook(p, weather(p), hold(p))
			}
		}
	})
	return all
}

type outlooker struct {
	pass  *passer
	tape  tape
	obs   observer
	z     []float64
	moved map[*Cultivar][][]*survival
}

func (k *outlooker) outlook(p *Plant, w *Weather, hold float64) *Outlook {
	f := p.Cultivar.fit
	c := f.chain(p.index)
	s := k.pass.state
	k.pass.run(p.history, &c, &k.tape)
	s.settle(c.unripe)
	o := &Outlook{Plant: p, Falls: c.loss + c.found, RipeAges: s.ages(&c, longestHang)}
	long := w.weekly()
	out := c.outlet(long)
	pi := s.chances(out)
	o.run, o.spread = s.stretch(pi, long.ends()), w.Spread
	o.unseen = s.setSince(pi, len(o.run.ends), p.history.unseenDays())
	ripe, ever := s.ripeByStep(pi, len(long.steps)), o.Ever()
	o.Later = s.expectedRipe(c.outlet(w.prolonged(laterDays)))
	by, part := stepOf(o.run.ends, laterDays)
	o.Ripening = o.Later[laterDays-1] + ripe[len(ripe)-1] - between(ripe, by, part)
	for _, x := range Normal {
		var r coming
		if x.Z == 0 {
			r = coming{slices.Clone(ripe[:len(w.Growing)]), o.run.variances(len(w.Growing))}
		} else {
			r = s.coming(&c, w.ahead(x.Z))
		}
		for d, m := range r.mean {
			r.mean[d] = math.Min(m, o.Ripening) // the weather of that is the expected one
			r.variance[d] = ever.Part(r.mean[d], r.variance[d]).Variance
		}
		o.Weathers = append(o.Weathers, Weathered{x.Weight, r.mean, r.variance})
	}
	past := s.pastRipe(&c, hold)
	o.PastRipe = Number{s.number(past), s.variance(past)}
	for st := 0; st <= c.unripe; st++ {
		share := s.inStage(st)
		o.Standing = append(o.Standing, Number{s.number(share), s.variance(share)})
	}
	unwritten := unseenSpread * k.tape.goneUnseen
	o.PastRipe.Variance += unwritten * unwritten
	o.Standing[c.unripe].Variance += unwritten * unwritten
	o.counted(s, &c, &k.obs, pi, len(w.Growing))
	k.gradient(o, f, w, long, out, ripe, hold)
	return o
}

// unseenSpread is how far off, as a share, the ripe fruit is that is expected to have gone since the last count, one standard deviation: what went between counts
// before tells how much went, not whether it fell, as it does in a pause too, or was picked, as it is where somebody goes to the plants (a judgement).
const unseenSpread = 0.5

// laterDays is how far ahead the fruit that has set is followed to its end.
const laterDays = 112

// counted works out by how much a whole count made now would lower the variance of the forecast a week ahead.
func (o *Outlook) counted(s *state, c *chain, obs *observer, pi [][]float64, days int) {
	day := min(7, days) - 1
	at := make([]float64, len(pi))
	for i := range pi {
		at[i] = pi[i][day]
	}
	o.Count.Days = day + 1
	o.Count.Before = s.variance(at)
	k := &count{}
	for st := 0; st <= c.unripe; st++ {
		k.seen = append(k.seen, seen{stage: st, share: 1})
	}
	obs.innovation(s, c, k)
	for a := range k.seen {
		k.seen[a].fruits = -obs.e[a] // what is expected: the innovation from nothing seen
	}
	var learned weighed
	obs.observe(s, c, k, &learned)
	o.Count.After = s.variance(at)
}

// Counting is what a count of the plant now would tell.
type Counting struct {
	Days          int     // ahead
	Before, After float64 // variance of the number newly ripe by then, given the parameters
}

// inStage is 1 for the cohorts of a stage.
func (s *state) inStage(st int) []float64 {
	share := make([]float64, len(s.cohorts))
	for i := range s.cohorts {
		if s.cohorts[i].stage == st {
			share[i] = 1
		}
	}
	return share
}

// Between is the variance that the parameters leave in the number newly ripe on some plants together after one day ahead and by another.
func Between(outlooks []*Outlook, after, by int) float64 {
	cut := make([]*Outlook, len(outlooks))
	for i, o := range outlooks {
		x := &Outlook{Plant: o.Plant, shared: [][]float64{append([]float64(nil), o.shared[by-1]...)}, own: []float64{o.own[by-1]}}
		if after > 0 {
			for j, g := range o.shared[after-1] {
				x.shared[0][j] -= g
			}
			x.own[0] -= o.own[after-1]
		}
		cut[i] = x
	}
	if len(cut) == 0 {
		return 0
	}
	return Uncertainty(cut)[0]
}

// Uncertainty is the variance that the parameters leave in the number newly ripe on some plants together, by day. Plants of one cultivar
// share its parameters. It is of the second order: see bend.
func Uncertainty(outlooks []*Outlook) []float64 {
	if len(outlooks) == 0 {
		return nil
	}
	days := len(outlooks[0].own)
	v := make([]float64, days)
	shared, bent := map[*Cultivar][][]float64{}, map[*Cultivar][]float64{}
	var order []*Cultivar
	for _, o := range outlooks {
		c := o.Plant.Cultivar
		if shared[c] == nil {
			order = append(order, c)
			shared[c], bent[c] = make([][]float64, days), make([]float64, days)
			for d := range days {
				shared[c][d] = make([]float64, c.fit.layout.size())
			}
		}
		for d := range days {
			v[d] += o.own[d] * o.own[d]
			for j, g := range o.shared[d] {
				shared[c][d][j] += g
			}
		}
		for d := range o.bent {
			v[d] += 2 * o.bentOwn[d] * o.bentOwn[d]
			bent[c][d] += o.bent[d]
		}
	}
	for _, c := range order {
		for d := range days {
			v[d] += c.fit.quadratic(shared[c][d]) + 2*bent[c][d]*bent[c][d]
		}
	}
	return v
}
