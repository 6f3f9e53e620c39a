package ledger

// boundAbove sets the upper bounds of an exact row. A stage that wasn't counted may hold all that the total leaves beside the stages
// that were; without a total nothing bounds it.
//
//	at or beyond s   min over t ≤ s with B[t] known: B[t] − Σ_{t ≤ u < s} standing at least at u
//	at s             that less what stands at least beyond s
func (o *observation) boundAbove() {
	var most *int
	n := len(o.counted)
	for s := range n {
		if most != nil {
			most = new(max(0, *most-o.atLeast[s-1]))
		}
		if o.beyond[s] != nil {
			most = o.beyond[s]
		}
		o.beyondAtMost[s] = most
		switch {
		case o.standing[s] != nil:
			o.atMost[s] = o.standing[s]
		case most != nil:
			beyond := 0
			if s+1 < n {
				beyond = o.beyondAtLeast[s+1]
			}
			o.atMost[s] = new(max(0, *most-beyond))
		}
	}
}

// boundTogether sets the upper bounds of several counts of the same fruit: the smallest of theirs where they agree; where they
// don't, one of them is right, and which isn't known, so the largest.
func (o *observation) boundTogether(counts []observation, agreed bool) {
	among := leastOf
	if !agreed {
		among = mostOf
	}
	for s := range o.counted {
		o.atMost[s] = among(counts, func(c *observation) *int { return c.atMost[s] })
		o.beyondAtMost[s] = among(counts, func(c *observation) *int { return c.beyondAtMost[s] })
		if o.standing[s] != nil {
			o.atMost[s] = o.standing[s]
		}
		if o.beyond[s] != nil {
			o.beyondAtMost[s] = o.beyond[s]
		}
	}
}

// leastOf is the smallest of the numbers that are known; nil if none is.
func leastOf(counts []observation, of func(*observation) *int) *int {
	var least *int
	for i := range counts {
		if x := of(&counts[i]); x != nil && (least == nil || *x < *least) {
			least = x
		}
	}
	return least
}

// mostOf is the largest of the numbers; nil unless all are known.
func mostOf(counts []observation, of func(*observation) *int) *int {
	var most *int
	for i := range counts {
		x := of(&counts[i])
		if x == nil {
			return nil
		}
		if most == nil || *x > *most {
			most = x
		}
	}
	return most
}

// reachAtMost fills in EverReachedAtMost: what stands at most, all that surely went, and all that may have. Fruit that reached a
// stage reached those before it.
func (run *running) reachAtMost(e *Entry) {
	for s := range run.removed {
		most := &e.EverReachedAtMost[s]
		if e.EverReached[s] != nil {
			*most = e.EverReached[s]
		} else if x := e.AtOrBeyondAtMost[s]; x != nil && run.unbounded[s] == 0 {
			*most = new(*x + run.removed[s] + run.unsure[s])
		}
		if s == 0 {
			continue
		}
		if before := e.EverReachedAtMost[s-1]; before != nil && (*most == nil || **most > *before) {
			*most = before
		}
	}
	for s, most := range e.EverReachedAtMost {
		if most != nil && *most < e.EverReachedAtLeast[s] {
			e.EverReachedAtMost[s] = nil // what was sure before contradicts it
		}
	}
}

// totalAtMost adds up what may have been picked, lost and stands at most.
func (b *Book) totalAtMost() {
	t := &b.Totals
	picked, lost := new(t.Picked), new(t.Lost)
	for i := range b.Removals {
		sum := &lost
		if b.Removals[i].Picked {
			sum = &picked
		}
		switch r := &b.Removals[i]; {
		case *sum == nil:
		case !r.Counted:
			*sum = nil
		case !r.Sure:
			**sum += r.Fruits
		}
	}
	t.PickedAtMost, t.LostAtMost = picked, lost
	t.StandingAtMost = b.standingAtMost()
}

// standingAtMost is what the last count leaves at most: all that stood less what surely was taken since.
func (b *Book) standingAtMost() *int {
	t := &b.Totals
	if t.Standing != nil || len(b.Visits) == 0 {
		return t.Standing
	}
	last := len(b.Visits) - 1
	e, after := &b.Visits[last], b.since(last)
	if e.AtOrBeyond[0] != nil {
		if left := b.left(e, after)[0]; left.known && left.fruits >= t.StandingAtLeast {
			return &left.fruits
		}
		return nil
	}
	if e.AtOrBeyondAtMost[0] == nil {
		return nil
	}
	left := *e.AtOrBeyondAtMost[0]
	for i := range after {
		if r := &after[i]; r.Sure && r.Counted {
			left -= r.Fruits
		}
	}
	if left < t.StandingAtLeast { // more was taken than stood, or earlier counts were sure of more
		return nil
	}
	return &left
}
