package pastripe_test

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
	"vinetally/analytics/pastripe"
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

// trueFruit is one fruit of the drawn history.
type trueFruit struct {
	since, stage int
	gone         bool
}

type drawn struct {
	steps   []step
	fruit   []*trueFruit
	records crop.PlantRecords
}

var start = time.Date(2026, 1, 1, 9, 0, 0, 0, time.UTC)

const apart = 10 // days between steps

func at(i int) crop.Moment { return crop.InstantMoment(start.AddDate(0, 0, apart*i)) }

// draw makes a true history and its records. With sloppy records some counts are lower bounds, rough, or of red alone, and some
// removals have no number or no plant; what is recorded is true all the same.
func draw(t *rapid.T, soft, sloppy bool) *drawn {
	stages := []crop.Stage{{Name: "green"}, {Name: "red"}}
	if soft {
		stages = append(stages, crop.Stage{Name: "soft"})
	}
	d := &drawn{steps: make([]step, rapid.IntRange(1, 4).Draw(t, "steps"))}
	d.records = crop.PlantRecords{Plant: &crop.Plant{ID: crop.ID{1}}, Scale: &crop.Scale{Stages: stages, RipeStage: "red"}}
	green := 40
	for i := range d.steps {
		for _, f := range d.fruit {
			if soft && !f.gone && f.stage == 0 {
				f.stage = rapid.IntRange(0, 1).Draw(t, "softens")
			}
		}
		for range rapid.IntRange(0, mostTrueRipe-d.hanging()).Draw(t, "ripens") {
			d.fruit = append(d.fruit, &trueFruit{since: i})
			green--
		}
		d.take(t, i, false, sloppy)
		if rapid.IntRange(0, 3).Draw(t, "counted") > 0 {
			d.count(t, i, green, soft, sloppy)
		}
		d.take(t, i, true, sloppy)
	}
	return d
}

func (d *drawn) hanging() int {
	n := 0
	for _, f := range d.fruit {
		if !f.gone {
			n++
		}
	}
	return n
}

func (d *drawn) take(t *rapid.T, i int, after, sloppy bool) {
	s, r := &d.steps[i], &d.records
	for _, f := range d.fruit {
		if f.gone || rapid.IntRange(0, 2).Draw(t, "taken") > 0 {
			continue
		}
		f.gone = true
		a := act{stage: f.stage, fruit: 1}
		id := crop.ID{3, byte(len(r.Pickings) + len(r.Losses) + len(r.UnitPickings) + len(r.UnitLosses))}
		stage := r.Scale.Stages[f.stage+1].Name
		how := rapid.IntRange(0, 4).Draw(t, "how")
		switch {
		case sloppy && how == 3:
			a.open, a.fruit = true, rapid.IntRange(1, 2).Draw(t, "of the unit")
			r.UnitPickings = append(r.UnitPickings, crop.Picking{ID: id, PickedAt: at(i), Stage: stage, Fruits: &a.fruit, BeforeCount: !after})
		case sloppy && how == 4:
			a.any = true
			r.Pickings = append(r.Pickings, crop.Picking{ID: id, PickedAt: at(i), Stage: stage, MassG: new(9.0), BeforeCount: !after})
		case after:
			r.Pickings = append(r.Pickings, crop.Picking{ID: id, PickedAt: at(i), Stage: stage, Fruits: new(1)})
		default:
			r.Losses = append(r.Losses, crop.Loss{ID: id, LostAt: at(i), Stage: stage, Fruits: new(1), Cause: crop.Split})
		}
		if after {
			s.after = append(s.after, a)
		} else {
			s.before = append(s.before, a)
		}
	}
}

func (d *drawn) count(t *rapid.T, i, green int, soft, sloppy bool) {
	s := &d.steps[i]
	for _, f := range d.fruit {
		if !f.gone {
			s.seen[f.stage]++
		}
	}
	s.counted, s.exact = true, true
	v := crop.Visit{ID: crop.ID{2, byte(i)}, CountedAt: at(i), Counts: map[string]int{"green": green, "red": s.seen[0]}}
	if soft {
		v.Counts["soft"] = s.seen[1]
	}
	if sloppy {
		switch rapid.IntRange(0, 4).Draw(t, "how counted") {
		case 0:
			s.exact, v.AtLeast = false, true
		case 1:
			s.exact, v.TrussesCounted, v.TrussesTotal = false, new(1), new(3)
		case 2:
			s.counted, v.About, v.Counts["red"] = false, true, v.Counts["red"]+rapid.IntRange(0, 9).Draw(t, "too many")
		case 3:
			delete(v.Counts, "green")
		}
		if !s.exact {
			s.seen[0] = rapid.IntRange(0, s.seen[0]).Draw(t, "seen")
			v.Counts["red"] = s.seen[0]
		}
	}
	d.records.Visits = append(d.records.Visits, v)
}

// question is when is asked, and for which hold time; the fruit that were ripe by step last have hung for it.
type question struct {
	asOf     time.Time
	holdDays float64
	last     int
}

func ask(t *rapid.T, steps int) question {
	q := question{last: rapid.IntRange(0, steps-1).Draw(t, "hold to step")}
	q.asOf = at(steps-1).At.AddDate(0, 0, rapid.IntRange(1, 30).Draw(t, "days later"))
	q.holdDays = q.asOf.Sub(at(q.last).At).Hours() / 24
	if rapid.Bool().Draw(t, "between steps") { // some days after the step, before the next
		q.holdDays -= 0.5
	}
	return q
}

// TestCertainAgainstEveryLife: no life that the records allow has fewer fruit past ripe than is called certain; and where
// no stage follows the ripe one some life has just so many.
func TestCertainAgainstEveryLife(t *testing.T) {
	for _, c := range []struct {
		name         string
		soft, sloppy bool
	}{
		{name: "exact and complete"},
		{name: "bounds, unknown numbers and plants", sloppy: true},
		{name: "a stage after ripe", soft: true},
		{name: "a stage after ripe, bounds, unknown numbers", soft: true, sloppy: true},
	} {
		t.Run(c.name, func(t *testing.T) {
			cases, attained, positive := 0, 0, 0
			rapid.Check(t, func(t *rapid.T) {
				d := draw(t, c.soft, c.sloppy)
				q := ask(t, len(d.steps))
				got := pastripe.Of(d.records, ledger.Of(d.records), q.asOf, q.holdDays)
				want := allLives(d.steps, c.soft).leastOld(q.last)
				if got.Certain > want {
					t.Errorf("certain %d, but a life with %d is possible", got.Certain, want)
				}
				if !c.soft && got.Certain != want {
					t.Errorf("certain %d, want %d: no stage follows the ripe one, so the bound is attained", got.Certain, want)
				}
				if got.Certain > got.StandingRipeAtLeast || got.StandingRipe != nil && got.StandingRipeAtLeast != *got.StandingRipe {
					t.Errorf("certain %d, standing at least %d, standing %v", got.Certain, got.StandingRipeAtLeast, got.StandingRipe)
				}
				if hanging := d.hanging(); got.StandingRipeAtLeast > hanging {
					t.Errorf("at least %d hang ripe, in truth %d", got.StandingRipeAtLeast, hanging)
				}
				cases++
				if got.Certain == want {
					attained++
				}
				if got.Certain > 0 {
					positive++
				}
			})
			if positive == 0 {
				t.Errorf("no case of %d had certain fruit: nothing was tested", cases)
			}
			t.Logf("the bound was attained in %d of %d cases; %d had certain fruit", attained, cases, positive)
		})
	}
}

// TestLongestAgainstEveryLife: in no life has a fruit hung longer; and with exact records some life has one that has hung just
// so long (less than any given moment, for a fruit seen first in a step may have ripened right after the one before).
func TestLongestAgainstEveryLife(t *testing.T) {
	for _, sloppy := range []bool{false, true} {
		t.Run(fmt.Sprintf("sloppy %v", sloppy), func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				d := draw(t, false, sloppy)
				q := ask(t, len(d.steps))
				got := pastripe.Of(d.records, ledger.Of(d.records), q.asOf, q.holdDays)
				first := lastCounted(d).oldest()
				switch {
				case got.StandingRipe != nil && *got.StandingRipe == 0:
					if got.LongestDays != nil {
						t.Errorf("nothing hangs, but the longest is %v", *got.LongestDays)
					}
				case first <= 0:
					if first == 0 && got.LongestDays != nil {
						t.Errorf("longest %v, but fruit may have hung since before the first step", *got.LongestDays)
					}
				default:
					since := q.asOf.Sub(at(first-1).At).Hours() / 24
					if got.LongestDays != nil && *got.LongestDays < since {
						t.Errorf("longest %v, but %v is possible", *got.LongestDays, since)
					}
					if !sloppy && (got.LongestDays == nil || *got.LongestDays != since) {
						t.Errorf("longest %v, want %v", got.LongestDays, since)
					}
				}
			})
		})
	}
}

// lastCounted returns the lives without the fruit that ripened after the last count, which no record speaks of.
func lastCounted(d *drawn) lives {
	last := 0
	for i := range d.steps {
		if d.steps[i].counted {
			last = i
		}
	}
	known := lives{}
	for _, l := range allLives(d.steps, false) {
		m := slices.Clone(l)
		clear(m[2*(last+1):])
		known.add(m)
	}
	return known
}
