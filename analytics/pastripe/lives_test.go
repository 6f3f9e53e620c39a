package pastripe_test

import (
	"fmt"
	"math"
	"slices"
)

// The brute force knows nothing of balances: it walks through every life that the ripe fruit of a plant can have had, given
// the records. In each step any number of fruit ripens (and, on a scale with a stage after ripe, softens), then found
// losses go, each record taking any fruit that fits it, then the count throws out the lives it contradicts, then the
// pickings take any fruit that fits. A life is the number of fruit by the step they were first ripe in and their stage.

// mostRipe bounds the fruit that hang ripe at once in a life. True histories have fewer, so that the bound rules out no life
// that matters: one old fruit beside as many as can go in a step.
const (
	mostRipe     = 5
	mostTrueRipe = 3
)

type act struct {
	stage, fruit int  // stage 0 is ripe, 1 is soft
	open         bool // none to all of it is of this plant
	any          bool // weighed only: any number
}

type step struct {
	before, after []act
	counted       bool
	exact         bool   // else at least so many
	seen          [2]int // by stage
}

type life []int // position 2·step + stage

func (l life) total(stage int) int {
	n := 0
	for i := stage; i < len(l); i += 2 {
		n += l[i]
	}
	return n
}

type lives map[string]life

func (ls lives) add(l life) { ls[fmt.Sprint(l)] = slices.Clone(l) }

// ripen lets 0 to mostRipe fruit ripen in step i, and fruit soften, in all ways.
func (ls lives) ripen(i int, soft bool) lives {
	next := lives{}
	for _, l := range ls {
		room := mostRipe - l.total(0) - l.total(1)
		for red := 0; red <= room; red++ {
			for softNow := 0; softNow <= room-red && (soft || softNow == 0); softNow++ {
				m := slices.Clone(l)
				m[2*i], m[2*i+1] = red, softNow
				next.soften(m, 0, i, soft)
			}
		}
	}
	return next
}

func (ls lives) soften(l life, cohort, now int, soft bool) {
	if !soft || cohort >= now {
		ls.add(l)
		return
	}
	for n := 0; n <= l[2*cohort]; n++ {
		m := slices.Clone(l)
		m[2*cohort], m[2*cohort+1] = l[2*cohort]-n, l[2*cohort+1]+n
		ls.soften(m, cohort+1, now, soft)
	}
}

// take lets a record take any fruit of its stage.
func (ls lives) take(a act) lives {
	next, from := lives{}, ls
	if a.open || a.any {
		for _, l := range ls {
			next.add(l)
		}
	}
	for n := 1; n <= a.fruit || a.any && n <= mostRipe; n++ {
		fewer := lives{}
		for _, l := range from {
			for i := a.stage; i < len(l); i += 2 {
				if l[i] > 0 {
					m := slices.Clone(l)
					m[i]--
					fewer.add(m)
				}
			}
		}
		if a.open || a.any || n == a.fruit {
			for _, l := range fewer {
				next.add(l)
			}
		}
		from = fewer
	}
	return next
}

func (ls lives) count(s *step) lives {
	next := lives{}
	for _, l := range ls {
		red, soft := l.total(0), l.total(1)
		if s.exact && red == s.seen[0] && soft == s.seen[1] || !s.exact && red >= s.seen[0] && soft >= s.seen[1] {
			next.add(l)
		}
	}
	return next
}

func allLives(steps []step, soft bool) lives {
	ls := lives{}
	ls.add(make(life, 2*len(steps)))
	for i := range steps {
		ls = ls.ripen(i, soft)
		for _, a := range steps[i].before {
			ls = ls.take(a)
		}
		if steps[i].counted {
			ls = ls.count(&steps[i])
		}
		for _, a := range steps[i].after {
			ls = ls.take(a)
		}
	}
	return ls
}

// leastOld is the fewest fruit, over all lives, that were ripe by step last.
func (ls lives) leastOld(last int) int {
	least := math.MaxInt
	for _, l := range ls {
		n := 0
		for i := 0; i < 2*(last+1); i++ {
			n += l[i]
		}
		least = min(least, n)
	}
	return least
}

// oldest is the first step in which a fruit that hangs in some life became ripe, -1 if none hangs in any.
func (ls lives) oldest() int {
	first := -1
	for _, l := range ls {
		for i, n := range l {
			if n > 0 && (first < 0 || i/2 < first) {
				first = i / 2
			}
		}
	}
	return first
}
