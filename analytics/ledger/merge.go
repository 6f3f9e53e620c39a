package ledger

import "vinetally/analytics/crop"

// disagreement is where two counts of one moment can't both be right: at a stage, one number and another.
type disagreement struct{ stage, low, high int }

func (d *disagreement) fruits() int { return d.high - d.low }

// worse keeps the larger disagreement; of equal ones the riper stage.
func worse(a, b *disagreement) *disagreement {
	if a == nil || b != nil && (b.fruits() > a.fruits() || b.fruits() == a.fruits() && b.stage > a.stage) {
		return b
	}
	return a
}

// observe reads all rows of one moment together. Rows that name a truss are of one count: they are summed, and are the
// whole plant if as many trusses were counted as the largest stated number of trusses; without a stated number they are
// a part of it. Every other row is a count of its own. Counts that agree confirm each other; where they disagree the
// number isn't known, and the smaller one is the lower bound.
func observe(m moment, scale *crop.Scale) (observation, *disagreement) {
	n := len(scale.Stages)
	if len(m.rows) == 1 && m.rows[0].Truss == nil {
		o := row(m.rows[0], scale)
		if o.trusses {
			o.partial()
		}
		return o, nil
	}
	var counts, trusses []observation
	var worst *disagreement
	stated := -1
	for i := 0; i < len(m.rows); {
		v := m.rows[i]
		if v.Truss == nil {
			o := row(v, scale)
			if o.trusses {
				o.partial()
			}
			counts = append(counts, o)
			i++
			continue
		}
		var same []observation
		for ; i < len(m.rows) && trussOf(m.rows[i]) == *v.Truss; i++ {
			same = append(same, row(m.rows[i], scale))
			if total := m.rows[i].TrussesTotal; total != nil {
				stated = max(stated, *total)
			}
		}
		o, d := agree(same, n)
		trusses, worst = append(trusses, o), worse(worst, d)
	}
	if len(trusses) > 0 {
		o := sum(trusses, n)
		if stated < 0 || len(trusses) < stated {
			o.trusses = true
			o.partial()
		}
		counts = append(counts, o)
	}
	o, d := agree(counts, n)
	return o, worse(worst, d)
}

// agree merges counts of the same fruit.
func agree(counts []observation, n int) (observation, *disagreement) {
	if len(counts) == 1 {
		return counts[0], nil
	}
	o := newObservation(n)
	var worst *disagreement
	for s := range n {
		x, low, d := settle(counts, s, func(c *observation) (*int, int) { return c.standing[s], c.atLeast[s] })
		o.standing[s], o.atLeast[s], worst = x, low, worse(worst, d)
		o.counted[s] = recorded(counts, s)
	}
	open := false // a stage at or beyond this one is in dispute
	above, aboveAtLeast, sumAtLeast := new(0), 0, 0
	for s := n - 1; s >= 0; s-- {
		x, low, d := settle(counts, s, func(c *observation) (*int, int) { return c.beyond[s], c.beyondAtLeast[s] })
		sumAtLeast += o.atLeast[s]
		if d == nil {
			d = o.cross(s, x, low, above, aboveAtLeast)
		}
		open = open || d != nil || disputed(counts, s)
		switch {
		case open && d != nil:
			x, low = nil, min(d.low, max(aboveAtLeast, sumAtLeast))
			o.cap(s+1, low, counts)
		case open:
			x, low = nil, max(aboveAtLeast, min(low, sumAtLeast))
		case x == nil && above != nil && o.standing[s] != nil: // one count told this stage, another those beyond it
			x = new(*above + *o.standing[s])
			low = *x
		case x == nil:
			low = max(low, aboveAtLeast+o.atLeast[s])
		}
		o.beyond[s], o.beyondAtLeast[s] = x, low
		above, aboveAtLeast, worst = x, low, worse(worst, d)
	}
	o.fit(counts)
	o.cover(counts)
	o.boundTogether(counts, worst == nil)
	return o, worst
}

// cross finds where counts of different stages can't both be right: one told fewer or more fruit at or beyond s than others
// together had at s and beyond it.
func (o *observation) cross(s int, x *int, low int, above *int, aboveAtLeast int) *disagreement {
	together := aboveAtLeast + o.atLeast[s]
	switch {
	case x != nil && together > *x:
		return &disagreement{stage: s, low: *x, high: together}
	case x != nil && above != nil && o.standing[s] != nil && *above+*o.standing[s] < *x: // none of them left any room between
		return &disagreement{stage: s, low: *above + *o.standing[s], high: *x}
	case x == nil && above != nil && o.standing[s] != nil && low > *above+*o.standing[s]:
		return &disagreement{stage: s, low: *above + *o.standing[s], high: low}
	}
	return nil
}

// cap lowers what stands at or beyond the stages from s on where it is more than a number in dispute leaves room for: to what every
// count is sure of, since the one that was sure of more may be the wrong one.
func (o *observation) cap(s, most int, counts []observation) {
	beyond := 0
	for u := len(o.beyond) - 1; u >= s; u-- {
		if o.beyondAtLeast[u] > most {
			o.beyond[u], o.beyondAtLeast[u] = nil, most
			for i := range counts {
				o.beyondAtLeast[u] = min(o.beyondAtLeast[u], counts[i].beyondAtLeast[u])
			}
			o.beyondAtLeast[u] = max(o.beyondAtLeast[u], beyond)
		}
		beyond = o.beyondAtLeast[u]
	}
}

// fit lowers the bound of a stage in the same way where the stages together don't have room for it.
func (o *observation) fit(counts []observation) {
	beyond := 0
	for s := len(o.atLeast) - 1; s >= 0; s-- {
		if room := max(0, o.beyondAtLeast[s]-beyond); o.atLeast[s] > room {
			o.standing[s], o.atLeast[s] = nil, room
			for i := range counts {
				o.atLeast[s] = min(o.atLeast[s], counts[i].atLeast[s])
			}
		}
		beyond += o.atLeast[s]
	}
}

func disputed(counts []observation, s int) bool {
	_, _, d := settle(counts, s, func(c *observation) (*int, int) { return c.standing[s], c.atLeast[s] })
	return d != nil
}

// settle returns the exact number that the counts agree on, or nil, and a lower bound.
func settle(counts []observation, stage int, of func(*observation) (exact *int, atLeast int)) (*int, int, *disagreement) {
	var low, high *int
	most := 0
	for i := range counts {
		x, atLeast := of(&counts[i])
		most = max(most, atLeast)
		if x == nil {
			continue
		}
		if low == nil || *x < *low {
			low = x
		}
		if high == nil || *x > *high {
			high = x
		}
	}
	switch {
	case low == nil:
		return nil, most, nil
	case *low == *high && most <= *high:
		return new(*low), *low, nil
	default:
		return nil, *low, &disagreement{stage: stage, low: *low, high: max(*high, most)}
	}
}

// recorded is the smallest exact number of a stage, or the largest of others where none is exact.
func recorded(counts []observation, s int) *int {
	var exact, other *int
	for i := range counts {
		c := &counts[i]
		switch {
		case c.counted[s] == nil:
		case c.standing[s] != nil && (exact == nil || *c.counted[s] < *exact):
			exact = c.counted[s]
		case c.standing[s] == nil && (other == nil || *c.counted[s] > *other):
			other = c.counted[s]
		}
	}
	if exact != nil {
		return exact
	}
	return other
}

// cover sets what counts of one moment cover together: the whole plant if one does, or if between them they cover every
// stage of it; otherwise every reason why they don't.
func (o *observation) cover(counts []observation) {
	for i := range counts {
		if counts[i].whole() {
			return
		}
	}
	for i := range counts {
		c := &counts[i]
		o.trusses, o.given, o.about = o.trusses || c.trusses, o.given || c.given, o.about || c.about
	}
	for s := range o.counted {
		o.stages = o.stages || o.counted[s] == nil && o.standing[s] == nil
	}
}
