package ledger

import "vinetally/analytics/crop"

// observation is what one count, or all counts of one moment together, say about the standing fruit of the whole plant.
// Exact numbers are nil where it doesn't tell them.
type observation struct {
	counted       []*int
	standing      []*int // exact, by stage
	atLeast       []int  // lower bound, by stage
	beyond        []*int // exact, at or beyond each stage
	beyondAtLeast []int
	atMost        []*int // upper bound, by stage; nil for none
	beyondAtMost  []*int

	trusses, stages, given, about bool // why it isn't of the whole plant (given: given up)
}

func (o *observation) whole() bool { return !o.trusses && !o.stages && !o.given && !o.about }

func (o *observation) coverage() []string {
	if o.whole() {
		return []string{Whole}
	}
	var c []string
	for _, part := range []struct {
		is   bool
		name string
	}{{o.trusses, Trusses}, {o.stages, Stages}, {o.given, AtLeast}, {o.about, About}} {
		if part.is {
			c = append(c, part.name)
		}
	}
	return c
}

func newObservation(n int) observation {
	pointers, ints := make([]*int, 5*n), make([]int, 2*n)
	return observation{
		counted: pointers[:n:n], standing: pointers[n : 2*n : 2*n], beyond: pointers[2*n : 3*n : 3*n],
		atMost: pointers[3*n : 4*n : 4*n], beyondAtMost: pointers[4*n:],
		atLeast: ints[:n:n], beyondAtLeast: ints[n:],
	}
}

// row reads one row for the part of the plant that it is of. A total fills the gap of the stages it covers: with all
// unripe stages counted up to one, what stands beyond it is the total less those.
//
// A count given up bounds each number it names from below and nothing else; a glance ("about 40") bounds nothing, for
// it may as well be too high.
func row(v *crop.Visit, scale *crop.Scale) observation {
	n := len(scale.Stages)
	o := newObservation(n)
	o.given, o.about = v.AtLeast, v.About
	o.trusses = v.TrussesCounted != nil && (v.TrussesTotal == nil || *v.TrussesCounted < *v.TrussesTotal)
	for s := range n {
		if fruit, ok := v.Counts[scale.Stages[s].Name]; ok {
			o.counted[s] = new(max(0, fruit))
		} else {
			o.stages = true
		}
	}
	switch {
	case v.About:
	case v.AtLeast:
		o.boundBelow(v.Total)
	default:
		o.exact(v.Total)
	}
	return o
}

func (o *observation) boundBelow(total *int) {
	sum := 0
	for s := len(o.counted) - 1; s >= 0; s-- {
		if o.counted[s] != nil {
			o.atLeast[s] = *o.counted[s]
		}
		sum += o.atLeast[s]
		o.beyondAtLeast[s] = sum
	}
	if total != nil {
		o.beyondAtLeast[0] = max(sum, *total)
	}
}

func (o *observation) exact(total *int) {
	n := len(o.counted)
	if total != nil {
		rest := max(*total, countedSum(o.counted))
		for s := 0; s < n; s++ {
			o.beyond[s] = new(rest)
			if o.counted[s] == nil {
				break
			}
			rest = max(0, rest-*o.counted[s])
		}
	}
	for s, sum := n-1, 0; s >= 0 && o.counted[s] != nil; s-- {
		sum += *o.counted[s]
		o.beyond[s] = new(sum)
	}
	o.stages = false
	above, aboveAtLeast := new(0), 0
	for s := n - 1; s >= 0; s-- {
		switch {
		case o.counted[s] != nil:
			o.standing[s] = o.counted[s]
		case o.beyond[s] != nil && above != nil:
			o.standing[s] = new(max(0, *o.beyond[s]-*above))
		default:
			o.stages = true
		}
		if o.standing[s] != nil {
			o.atLeast[s] = *o.standing[s]
		}
		o.beyondAtLeast[s] = aboveAtLeast + o.atLeast[s]
		if o.beyond[s] != nil {
			o.beyondAtLeast[s] = max(o.beyondAtLeast[s], *o.beyond[s])
		}
		above, aboveAtLeast = o.beyond[s], o.beyondAtLeast[s]
	}
	o.boundAbove()
}

// partial drops what is exact only for a part of the plant; the lower bounds stay.
func (o *observation) partial() {
	clear(o.standing)
	clear(o.beyond)
	clear(o.atMost)
	clear(o.beyondAtMost)
}

// sum adds the observations of different trusses: exact where each is.
func sum(parts []observation, n int) observation {
	o := newObservation(n)
	for s := range n {
		o.counted[s] = addKnown(parts, func(p *observation) *int { return p.counted[s] })
		o.standing[s] = addExact(parts, func(p *observation) *int { return p.standing[s] })
		o.beyond[s] = addExact(parts, func(p *observation) *int { return p.beyond[s] })
		o.atMost[s] = addExact(parts, func(p *observation) *int { return p.atMost[s] })
		o.beyondAtMost[s] = addExact(parts, func(p *observation) *int { return p.beyondAtMost[s] })
	}
	for i := range parts {
		p := &parts[i]
		for s := range n {
			o.atLeast[s] += p.atLeast[s]
			o.beyondAtLeast[s] += p.beyondAtLeast[s]
		}
		o.stages, o.given, o.about = o.stages || p.stages, o.given || p.given, o.about || p.about
	}
	return o
}

func countedSum(counted []*int) int {
	total := 0
	for _, x := range counted {
		if x != nil {
			total += *x
		}
	}
	return total
}

// addExact adds up if every part has the number.
func addExact(parts []observation, of func(*observation) *int) *int {
	total := 0
	for i := range parts {
		x := of(&parts[i])
		if x == nil {
			return nil
		}
		total += *x
	}
	return &total
}

// addKnown adds up the parts that have the number; nil if none has.
func addKnown(parts []observation, of func(*observation) *int) *int {
	var total *int
	for i := range parts {
		if x := of(&parts[i]); x != nil {
			if total == nil {
				total = new(0)
			}
			*total += *x
		}
	}
	return total
}
