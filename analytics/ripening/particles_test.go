package ripening

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// particles follow a plant's fruit one by one in many drawn lives, of which those that the records speak for live on: a bootstrap particle filter
// (Gordon, Salmond and Smith 1993, IEE Proc. F 140:107–113). It takes for granted what the filter does, but has neither means nor covariances nor
// normal approximations in it: with ever more lives it becomes exact.
type particles struct {
	chain chain
	rng   *rand.Rand
	lives []particle
	log   []float64 // weights
}

// particle is one such life of a plant.
type particle struct {
	fruits []particleFruit
	set    []float64 // days on which fruit set, of the last rateMemory
	days   float64
}

// particleFruit is a fruit in a stage and its age there on the stage's clock; ripe fruit's in days.
type particleFruit struct {
	stage int
	age   float64
}

func newParticles(c chain, lives int, seed uint64) *particles {
	return &particles{c, rand.New(rand.NewPCG(seed, 0x70667473)), make([]particle, lives), make([]float64, lives)}
}

// run goes through a history of whole counts.
func (p *particles) run(h *History) {
	for i := range h.events {
		e := &h.events[i]
		if e.since.days > 0 {
			c := p.chain.during(e)
			for k := range p.lives {
				p.move(&p.lives[k], c, e.since, h, i)
			}
		}
		switch {
		case e.removal != nil && e.removal.known:
			for k := range p.lives {
				p.log[k] += p.remove(&p.lives[k], e.removal)
			}
		case e.count != nil && len(e.count.seen) > 0:
			for k := range p.lives {
				p.log[k] += p.chain.chance(p.lives[k].standing(p.chain.unripe), e.count)
			}
		default:
			continue
		}
		p.resample()
	}
}

// move lets time go by for one life.
func (p *particles) move(x *particle, c *chain, a advance, h *History, event int) {
	rate, slowing := h.startRate, 1.0
	if event >= h.first {
		rate, slowing = math.Min(math.Max(float64(len(x.set))/rateMemory, leastRate), h.mostRate), setSlowing
	}
	grown, coloured := a.grown(c), a.coloured(c)
	x.fruits = slices.DeleteFunc(x.fruits, func(f particleFruit) bool {
		return f.stage == c.unripe && p.rng.Float64() > c.lasting(f.age, a.days)
	})
	for j := range x.fruits {
		x.fruits[j] = p.onward(c, x.fruits[j], grown, coloured, a.days)
	}
	mean := rate * a.days
	variance := setClusters*mean + mean*mean + setSurge*a.days*a.days
	mean *= slowing
	shape := mean * mean / (variance - mean) // negative binomial as gamma and Poisson
	lambda := distuv.Gamma{Alpha: shape, Beta: shape / mean, Src: p.rng}.Rand()
	for range int(distuv.Poisson{Lambda: lambda, Src: p.rng}.Rand()) {
		since := p.rng.Float64()
		x.fruits = append(x.fruits, p.onward(c, particleFruit{}, grown*since, coloured*since, a.days*since))
		x.set = append(x.set, x.days+a.days*(1-since))
	}
	x.days += a.days
	x.set = slices.DeleteFunc(x.set, func(at float64) bool { return at <= x.days-rateMemory })
}

// onward lets a fruit go on for a stretch of time.
func (p *particles) onward(c *chain, f particleFruit, grown, coloured, days float64) particleFruit {
	left := 1.0
	for f.stage < c.unripe {
		step := coloured * left
		if f.stage == 0 {
			step = grown * left
		}
		stays := 0.0
		if before := c.lasts(f.stage, f.age); before > longPast {
			stays = c.lasts(f.stage, f.age+step) / before
		}
		u := p.rng.Float64()
		if u < stays {
			f.age += step
			return f
		}
		left *= 1 - (1-u)/(1-stays)
		f = particleFruit{stage: f.stage + 1}
	}
	f.age += days * left
	return f
}

func (x *particle) standing(unripe int) []int {
	n := make([]int, unripe+1)
	for _, f := range x.fruits {
		n[f.stage]++
	}
	return n
}

// remove takes fruit away, and returns by how much that makes the life less likely.
func (p *particles) remove(x *particle, r *removal) (log float64) {
	c := &p.chain
	n := x.standing(c.unripe)
	for range int(r.fruits) {
		weight := make([]float64, len(n))
		total := 0.0
		for s := range n {
			switch {
			case !r.picked && s == r.stage:
				weight[s] = float64(n[s])
			case r.picked && s == c.unripe:
				weight[s] = float64(n[s]) * pickedRipe * c.confusion(r.stage, s)
			case r.picked && s == c.unripe-1:
				weight[s] = float64(n[s]) * pickedEarly * c.confusion(r.stage, s)
			}
			total += weight[s]
		}
		if total == 0 { // not in this life
			log -= unlikely
			for s := range n {
				weight[s] = float64(n[s]) * math.Exp(-4*math.Abs(float64(s-r.stage)))
				total += weight[s]
			}
		}
		if total == 0 {
			continue
		}
		s := pick(p.rng, weight, total)
		n[s]--
		which := make([]float64, len(x.fruits))
		total = 0
		for j, f := range x.fruits {
			if f.stage == s {
				which[j] = 1
				if r.oldest {
					which[j] = f.age*math.Sqrt(f.age) + 0.5
				}
				total += which[j]
			}
		}
		j := pick(p.rng, which, total)
		x.fruits = slices.Delete(x.fruits, j, j+1)
	}
	return log
}

// unlikely is what a fruit that a life can't account for takes from its log likelihood.
const unlikely = 6.0

func pick(rng *rand.Rand, weight []float64, total float64) int {
	u, last := rng.Float64()*total, 0
	for i, w := range weight {
		if w == 0 {
			continue
		}
		last = i
		if u -= w; u < 0 {
			break
		}
	}
	return last
}

// resample lets lives go on as often as their weights say, once these are very uneven (systematic resampling).
func (p *particles) resample() {
	most := slices.Max(p.log)
	weight, sum, squares := make([]float64, len(p.log)), 0.0, 0.0
	for i, l := range p.log {
		weight[i] = math.Exp(l - most)
		sum, squares = sum+weight[i], squares+weight[i]*weight[i]
	}
	n := len(p.lives)
	if sum*sum/squares > float64(n)/2 {
		return
	}
	next := make([]particle, n)
	first, before, j := p.rng.Float64(), 0.0, 0
	for i := range next {
		at := (float64(i) + first) / float64(n) * sum
		for j < n-1 && before+weight[j] < at {
			before += weight[j]
			j++
		}
		x := &p.lives[j]
		next[i] = particle{slices.Clone(x.fruits), slices.Clone(x.set), x.days}
	}
	p.lives = next
	clear(p.log)
}

// ahead lets every life go on for some days and returns the distribution of how many fruit are newly ripe by each of some horizons, in order. The
// lives are spent.
func (p *particles) ahead(to *ahead, days []int) [][]float64 {
	c := &p.chain
	most := slices.Max(p.log)
	all := make([][]float64, len(days))
	total := 0.0
	for i := range p.lives {
		weight := math.Exp(p.log[i] - most)
		total += weight
		fruits := slices.DeleteFunc(p.lives[i].fruits, func(f particleFruit) bool { return f.stage == c.unripe })
		ripe, next := 0, 0
		for d := range days[len(days)-1] {
			for _, a := range to.steps[d*to.perDay : (d+1)*to.perDay] {
				fruits = slices.DeleteFunc(fruits, func(f particleFruit) bool {
					return p.rng.Float64() < -math.Expm1(-c.taken[f.stage]*a.days)
				})
				for j := range fruits {
					fruits[j] = p.onward(c, fruits[j], a.grown(c), a.coloured(c), a.days)
				}
				left := slices.DeleteFunc(fruits, func(f particleFruit) bool { return f.stage == c.unripe })
				ripe += len(fruits) - len(left)
				fruits = left
			}
			if d+1 == days[next] {
				for len(all[next]) <= ripe {
					all[next] = append(all[next], 0)
				}
				all[next][ripe] += weight
				next++
			}
		}
	}
	for _, x := range all {
		for k := range x {
			x[k] /= total
		}
	}
	return all
}
