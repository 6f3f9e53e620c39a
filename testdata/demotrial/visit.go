package demotrial

import (
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"
)

// visit is one look at one plant: what went since is noted, what stands is
// counted, then fruit is picked.
type visit struct {
	run               *run
	bush              *bush
	at                stamp
	hour              hours
	date              string
	observer          string
	together, tasting bool
	dice              *dice
}

func (v *visit) make() []*picked {
	b := v.bush
	v.noteLosses(b.fallen(v.hour), v.run.remarkFor)
	v.milestones()
	truth := b.standing(v.hour)
	v.count(truth)
	b.lastVisit = v.hour
	b.visits++
	if sum(truth) > 0 {
		b.bore = true
	}
	if p := v.run.due(b, v.date, thinning); p != nil && truth[0] >= 12 {
		p.used = true
		v.thin(2 + v.dice.below(2))
	}
	basket := v.harvest()
	v.leave(sum(truth) == 0)
	return basket
}

// row starts a record of this visit.
func (v *visit) row(column, tie string) row {
	return v.rowAt(v.at, column, tie)
}

func (v *visit) rowAt(at stamp, column, tie string) row {
	return row{
		key: v.run.season.name + "\x1f" + v.bush.plan.label, at: at.at, tie: tie,
		cells: map[string]string{"season": v.run.season.name, "plant": v.bush.plan.label, column: at.text()},
	}
}

func (v *visit) noteLosses(found map[stageCause]int, remark func(*bush, string, string) string) {
	order := slices.SortedFunc(maps.Keys(found), func(x, y stageCause) int {
		if x.stage != y.stage {
			return x.stage - y.stage
		}
		return strings.Compare(x.cause, y.cause)
	})
	for _, k := range order {
		r := v.row("lost_at", digits(k.stage)+k.cause)
		r.cells["stage"] = v.bush.cultivar.stages[k.stage]
		r.cells["fruits"] = digits(found[k])
		r.cells["cause"] = k.cause
		if k.cause == "pest" {
			r.cells["note"] = remark(v.bush, v.date, losses)
		}
		v.run.book.add(losses, r)
	}
}

// thin takes the n youngest fruit off on purpose.
func (v *visit) thin(n int) {
	young := slices.DeleteFunc(slices.Clone(v.bush.fruit), func(f *fruit) bool { return !f.countable(v.hour) || f.stageAt(v.hour) != 0 })
	slices.SortStableFunc(young, func(x, y *fruit) int { return compareHours(y.Enters[0], x.Enters[0]) })
	for _, f := range young[:n] {
		v.bush.take(f, v.hour)
	}
	v.bush.truth.Lost += n
	v.bush.truth.LostByCause["thinned"] += n
	v.noteLosses(map[stageCause]int{{0, "thinned"}: n}, v.run.remarkFor)
}

// leave takes the plant out where its time has come.
func (v *visit) leave(empty bool) {
	b := v.bush
	if empty {
		b.empty++
	} else {
		b.empty = 0
	}
	lastDay := v.date == dateOf(v.run.season.records)
	switch {
	case b.plan.removed != "" && v.date >= b.plan.removed, v.run.season.cleared && lastDay:
		v.clear()
	case b.finished(v.hour) && b.empty >= 2 && b.visits >= 26 && !lastDay:
		b.removedOn = v.date
		v.run.diary(b, v.at, "note", pick(v.dice, []string{"nothing left, taken out", "done, off to the compost"}))
	}
}

// clear takes the plant out with all that is still on it.
func (v *visit) clear() {
	b := v.bush
	b.forget(v.hour)
	found := map[stageCause]int{}
	for _, f := range b.fruit {
		if f.gone() {
			continue
		}
		stage := f.stageAt(v.hour)
		b.take(f, v.hour)
		if f.seen > v.hour {
			b.truth.NeverSeen++
			continue
		}
		found[stageCause{stage, "cleared"}]++
		b.truth.Cleared++
	}
	v.noteLosses(found, v.run.remarkFor)
	b.removedOn = v.date
}

// milestones puts the plant's first bud, flower and fruit into the diary when
// they are first seen.
func (v *visit) milestones() {
	b := v.bush
	first := func(kind string, since hours) {
		if since <= v.hour && !b.milestones[kind] {
			b.milestones[kind] = true
			v.run.diary(b, dateAlone(v.date), kind, "")
		}
	}
	first("first bud", b.firstBud)
	first("first flower", b.firstFlower)
	seen := slices.MinFunc(b.fruit, func(x, y *fruit) int { return compareHours(x.seen, y.seen) }).seen
	first("first fruit", seen)
}

func compareHours(a, b hours) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

func sum(counts [4]int) int { return counts[0] + counts[1] + counts[2] + counts[3] }

func oneDecimal(x float64) string { return strconv.FormatFloat(x, 'f', 1, 64) }

// minutesLater returns a stamp a little later, or the same date alone.
func minutesLater(s stamp, n int) stamp {
	if s.dateOnly {
		return s
	}
	s.at = s.at.Add(time.Duration(n) * time.Minute)
	return s
}
