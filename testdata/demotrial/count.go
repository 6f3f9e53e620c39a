package demotrial

import "fmt"

// count writes down what stands, whole or in part, right or wrong.
func (v *visit) count(truth [4]int) {
	b, r := v.bush, v.run
	row := v.row("counted_at", "")
	row.cells["note"] = r.remarkFor(b, v.date, counts)
	if !v.at.dateOnly || v.dice.chance(0.3) {
		row.cells["observer"] = v.observer
	}
	written := truth
	awaited := r.awaiting[b.plan.label]
	p := r.due(b, v.date, greenUncounted, gaveUp, someTrusses)
	switch {
	case awaited != nil:
		delete(r.awaiting, b.plan.label)
		awaited.FallAt = v.at.text()
		if awaited.Kind == UnwrittenPicking { // this is the first count that lacks the fruit
			awaited.At = v.at.text()
			row.mistake = awaited
		}
	case p != nil && truth[0] >= 6:
		p.used = true
		written = v.partial(p.kind, truth, row.cells)
	default:
		written, row.mistake = v.miscount(truth)
	}
	for s, name := range b.cultivar.stages {
		if written[s] != uncounted {
			row.cells[name] = digits(written[s])
		}
	}
	r.book.add(counts, row)
}

// uncounted marks a stage that was left out.
const uncounted = -1

// partial returns the numbers of a count that isn't whole and fills in how far
// it went.
func (v *visit) partial(kind string, truth [4]int, cells map[string]string) [4]int {
	switch kind {
	case greenUncounted:
		truth[0] = uncounted
	case gaveUp:
		cells["at_least"] = "yes"
		truth[0] = truth[0] * 2 / 3
		cells["note"] = "the phone rang; at least these"
	case someTrusses:
		total := v.bush.trussesOn(v.hour)
		n := max(1, (total+1)/2)
		cells["trusses_counted"], cells["trusses_total"] = digits(n), digits(total)
		return v.bush.standingOn(n, v.hour)
	}
	return truth
}

// miscount returns the count as it was written, and the mistake in it where one
// is due and would be visible; else the count itself and nil.
func (v *visit) miscount(truth [4]int) ([4]int, *Mistake) {
	b, r := v.bush, v.run
	p := r.due(b, v.date, SwappedDigits, DoubledDigit, Overlooked)
	if p == nil {
		return truth, nil
	}
	stage, written := 0, 0
	var fits bool
	var what string
	switch p.kind {
	case SwappedDigits:
		written = truth[0]/10 + truth[0]%10*10
		fits = truth[0] >= 20 && written < truth[0]-8 && v.newlySeen() == 0
		what = "green written as %d, meant %d"
	case DoubledDigit:
		stage, written = ripe, truth[ripe]*11
		fits = truth[ripe] >= 2 && truth[ripe] <= 4
		what = b.cultivar.stages[ripe] + " written as %d, meant %d"
	case Overlooked:
		written = truth[0] - 1
		fits = truth[0] >= 8 && v.newlySeen() == 0
		what = "green counted as %d, one of %d hung behind a leaf"
	}
	if !fits {
		return truth, nil
	}
	p.used = true
	m := r.note(Mistake{
		Kind: p.kind, File: counts, Plant: b.plan.label, At: v.at.text(), Stage: b.cultivar.stages[stage],
		Fruits: max(written-truth[stage], truth[stage]-written),
		What:   fmt.Sprintf(what, written, truth[stage]),
	})
	if written < truth[stage] {
		m.FallAt = m.At
	} else {
		r.awaiting[b.plan.label] = m
	}
	truth[stage] = written
	return truth, m
}

// newlySeen counts the fruit that came into sight since the visit before; such
// fruit would hide a count that is too low.
func (v *visit) newlySeen() int {
	n := 0
	for _, f := range v.bush.fruit {
		if f.seen > v.bush.lastVisit && f.seen <= v.hour {
			n++
		}
	}
	return n
}
