package ripening

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// drawChain is a plant's parameters as the prior has them, up to two standard deviations off.
func drawChain(t *rapid.T, unripe int) chain {
	l, prior := layout{unripe}, PublishedPrior(unripe)
	theta := make([]float64, l.size())
	for j := range theta {
		theta[j] = prior.Mean[j] + prior.SD[j]*rapid.Float64Range(-2, 2).Draw(t, fmt.Sprint("parameter ", j))
	}
	return l.chain(theta, l.tables(theta), rapid.Float64Range(-0.12, 0.12).Draw(t, "effect"))
}

// startRate is how many fruit a day are expected to have set before anything was seen.
const startRate = 0.3

// drawHistory is any sequence of counts and removals, likely or not.
func drawHistory(t *rapid.T, unripe int) *History {
	h := &History{unripe: unripe, startRate: startRate, mostRate: math.Inf(1)}
	pass := func(days float64) advance {
		warm := rapid.Float64Range(0.2, 1.8).Draw(t, "rate")
		return advance{growing: days * warm, growingSlope: days * warm * math.Log(warm), colouring: days * warm, colouringSlope: days * warm * math.Log(warm), days: days}
	}
	for range rapid.IntRange(1, 16).Draw(t, "lead") {
		h.events = append(h.events, event{since: pass(4)})
	}
	h.first = len(h.events)
	for range rapid.IntRange(1, 12).Draw(t, "events") {
		e := event{open: rapid.Bool().Draw(t, "open")}
		if days := rapid.Float64Range(-1, 9).Draw(t, "days"); days > 0 {
			e.since = pass(days)
		}
		if rapid.Bool().Draw(t, "removal") {
			e.removal = &removal{
				stage: rapid.IntRange(0, unripe).Draw(t, "stage"), fruits: float64(rapid.IntRange(0, 12).Draw(t, "fruits")),
				known: rapid.IntRange(0, 5).Draw(t, "known") > 0, picked: rapid.Bool().Draw(t, "picked"), oldest: rapid.Bool().Draw(t, "oldest"),
			}
		} else {
			e.count = drawCount(t, unripe)
		}
		h.events = append(h.events, e)
	}
	return h
}

func drawCount(t *rapid.T, unripe int) *count {
	k := &count{}
	share := 1.0
	if rapid.IntRange(0, 4).Draw(t, "some trusses") == 0 {
		share = rapid.Float64Range(0.1, 1).Draw(t, "share")
	}
	for s := 0; s <= unripe; s++ {
		switch rapid.IntRange(0, 6).Draw(t, "way") {
		case 0:
		case 1:
			k.seen = append(k.seen, seen{stage: s, fruits: float64(rapid.IntRange(0, 60).Draw(t, "fruits")), share: 1, least: true})
		default:
			k.seen = append(k.seen, seen{stage: s, fruits: float64(rapid.IntRange(0, 60).Draw(t, "fruits")), share: share})
		}
	}
	if len(k.seen) <= unripe && rapid.Bool().Draw(t, "total") {
		k.seen = append(k.seen, seen{stage: -1, fruits: float64(rapid.IntRange(0, 120).Draw(t, "fruits")), share: 1})
	}
	return k
}

// TestCovariance: after every event of any history the covariance is that of some numbers: symmetric, and no combination of cohorts has a
// variance below zero, but for rounding.
func TestCovariance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unripe := rapid.SampledFrom([]int{1, 3, 5}).Draw(t, "unripe")
		h, c := drawHistory(t, unripe), drawChain(t, unripe)
		p, tape := newPasser(), &tape{}
		for upTo := h.first; upTo <= len(h.events); upTo++ {
			p.run(&History{unripe: unripe, events: h.events[:upTo], first: h.first, startRate: startRate, mostRate: math.Inf(1)}, &c, tape)
			s := p.state
			n := len(s.cohorts)
			cov, trace := mat.NewSymDense(n, nil), 0.0
			for i := range n {
				trace += s.row(i)[i]
				for j := range n {
					a, b := s.row(i)[j], s.row(j)[i]
					if math.IsNaN(a) || math.Abs(a-b) > 1e-9*(1+math.Abs(a)) {
						t.Fatalf("after %d events: covariance of %d with %d is %v one way and %v the other", upTo, i, j, a, b)
					}
					cov.SetSym(i, j, a)
				}
				if math.IsNaN(s.cohorts[i].mean) {
					t.Fatalf("after %d events: cohort %d is expected to hold %v", upTo, i, s.cohorts[i].mean)
				}
			}
			for i := range n { // a variance below zero, if any, is no lower than that of rounding
				cov.SetSym(i, i, cov.At(i, i)+1e-7*(1+trace))
			}
			var factor mat.Cholesky
			if n > 0 && !factor.Factorize(cov) {
				t.Fatalf("after %d events: a combination of cohorts has a variance below %v, all together %v", upTo, -1e-7*(1+trace), trace)
			}
		}
	})
}

// TestReplay: a replay with the parameters of the pass gives the innovations of the pass, to the last bit.
func TestReplay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unripe := rapid.SampledFrom([]int{1, 3, 5}).Draw(t, "unripe")
		h, c := drawHistory(t, unripe), drawChain(t, unripe)
		p, tape := newPasser(), &tape{}
		p.run(h, &c, tape)
		var means []float64
		for i := range p.state.cohorts {
			means = append(means, p.state.cohorts[i].mean)
		}
		z := p.replay(h, &c, tape, nil)
		if len(z) != len(tape.z) {
			t.Fatalf("%d innovations, then %d", len(tape.z), len(z))
		}
		for a := range z {
			if z[a] != tape.z[a] {
				t.Fatalf("innovation %d is %v, then %v", a, tape.z[a], z[a])
			}
		}
		for i := range p.state.cohorts {
			if m := p.state.cohorts[i].mean; m != means[i] {
				t.Fatalf("cohort %d holds %v, then %v", i, means[i], m)
			}
		}
	})
}

// TestMovingKeepsFruit: while time goes by fruit is neither made nor lost, if none goes unwritten, and what is removed is what was written, unless that is more than
// can have hung.
func TestMovingKeepsFruit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unripe := rapid.SampledFrom([]int{1, 2, 3, 5}).Draw(t, "unripe")
		c := drawChain(t, unripe)
		c.loss = 0
		h := drawHistory(t, unripe)
		p := newPasser()
		s := p.state
		var w weighed
		for i := range h.events {
			e := &h.events[i]
			before := s.expected(-1)
			if e.since.days > 0 {
				set, variance := s.setting(e.since.days, h, i)
				p.mover.move(s, &c, e.since, set, variance, true)
				s.tidy(unripe, true)
				if got := s.expected(-1); math.Abs(got-before-set) > 1e-7*(1+got) {
					t.Fatalf("%v fruit stood and %v set, %v stand", before, set, got)
				}
				before = s.expected(-1)
			}
			r := e.removal
			if r == nil || !r.known || r.fruits > 0.9*before {
				continue
			}
			p.obs.remove(s, &c, r, &w)
			if got := s.expected(-1); !w.tooMany && math.Abs(before-r.fruits-got) > 1e-4*(1+before) {
				t.Fatalf("%v of %v fruit were taken, %v stand", r.fruits, before, got)
			}
		}
	})
}

// TestSettling: no cohort holds less than none afterwards, and stages hold what they did.
func TestSettling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := newState()
		var before [3]float64
		for range rapid.IntRange(0, 20).Draw(t, "cohorts") {
			stage := rapid.IntRange(0, 2).Draw(t, "stage")
			x := s.add(stage)
			x.mean = rapid.Float64Range(-5, 8).Draw(t, "mean")
			before[stage] += x.mean
		}
		s.settle(2)
		for i := range s.cohorts {
			if m := s.cohorts[i].mean; m < 0 {
				t.Fatalf("cohort %d holds %v", i, m)
			}
		}
		for stage, n := range before {
			if got := s.expected(stage); math.Abs(got-math.Max(n, 0)) > 1e-9 {
				t.Errorf("stage %d held %v, then %v", stage, n, got)
			}
		}
	})
}
