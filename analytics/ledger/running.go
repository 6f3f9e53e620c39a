package ledger

// running is the state of the balance between counts. Every slice is by stage, "at or beyond".
type running struct {
	removed    []int // of known number
	unsure     []int // of unknown number, at most
	unbounded  []int // removals of which any number may have gone
	atLeast    []int // lower bound of ever reached since it was last known
	writtenOff []int
	last       []known // what the next count that tells the stage is held against
	net        []net
}

// known is the count that a stage is measured from: the last that told it, or a later one that didn't but was sure of
// more.
type known struct {
	visit      int  // position in Visits, -1 for none
	seen       bool // it didn't tell the stage: standing is a lower bound
	standing   int  // at or beyond the stage
	accounted  int  // that plus removed
	unsure     int
	unbounded  int
	writtenOff []int // as it was after that count
}

// net is the shortfall over the season: the highest accounted number so far less the last known. A removal of any number
// starts it afresh and keeps what was found in closed.
type net struct{ closed, highest, short, unbounded int }

// shortfall is a fall of what ever reached a stage, found at a count.
type shortfall struct {
	stage    int
	fruits   int // newly written off
	expected int // accounted for at least, had nothing vanished
	from     int // the count it is measured from, position in Visits
	stood    int // at or beyond the stage at that count, at least
	// seen tells that the count it is measured from didn't tell the stage and was sure of so many all the same.
	seen bool
}

func newRunning(n int) *running {
	ints := make([]int, 5*n)
	part := func(i int) []int { return ints[i*n : (i+1)*n : (i+1)*n] }
	run := &running{
		removed: part(0), unsure: part(1), unbounded: part(2), atLeast: part(3), writtenOff: part(4),
		last: make([]known, n), net: make([]net, n),
	}
	snapshots := make([]int, n*n)
	for s := range run.last {
		run.last[s] = known{visit: -1, writtenOff: snapshots[s*n : (s+1)*n : (s+1)*n]}
	}
	return run
}

func (run *running) remove(e *event) {
	for s := 0; s <= e.sure; s++ {
		run.removed[s] += e.Fruits
	}
	for s := e.sure + 1; s <= e.perhaps; s++ {
		if e.Counted {
			run.unsure[s] += e.Fruits
		} else {
			run.unbounded[s]++
		}
	}
}

// certain tells whether the number removed at or beyond s is known.
func (run *running) certain(s int) bool { return run.unsure[s] == 0 && run.unbounded[s] == 0 }

// count books one count: it fills in what was ever reached and what is unaccounted for, and returns what is newly
// missing, by stage.
func (run *running) count(e *Entry, visit int) []shortfall {
	found := run.writeOff(e)
	run.reach(e)
	for s, x := range e.AtOrBeyond {
		if x != nil {
			run.settle(s, *x, visit)
		} else {
			run.promise(s, e.AtOrBeyondAtLeast[s], visit)
		}
	}
	return found
}

// reach fills in EverReached and its lower bounds. A bound from earlier counts gives way to a smaller number known now,
// of its stage or of one before it, since fruit that reached a stage reached those before it.
func (run *running) reach(e *Entry) {
	n := len(run.removed)
	for s := range n {
		run.atLeast[s] = max(run.atLeast[s], e.AtOrBeyondAtLeast[s]+run.removed[s])
		if x := e.AtOrBeyond[s]; x != nil && run.certain(s) {
			e.EverReached[s] = new(*x + run.removed[s])
			run.atLeast[s] = *e.EverReached[s]
		}
	}
	for s := 1; s < n; s++ {
		run.atLeast[s] = min(run.atLeast[s], run.atLeast[s-1])
	}
	copy(e.EverReachedAtLeast, run.atLeast)
	run.reachAtMost(e)
}

// writeOff finds what is missing by the rule in the package comment.
func (run *running) writeOff(e *Entry) []shortfall {
	n := len(run.removed)
	var falls []shortfall
	for t := range n {
		x, before := e.AtOrBeyond[t], &run.last[t]
		if x == nil || before.visit < 0 || before.unbounded != run.unbounded[t] {
			continue
		}
		fall := before.accounted - (*x + run.removed[t]) - (run.unsure[t] - before.unsure)
		for s := 0; s <= t; s++ {
			e.Unaccounted[s] = max(e.Unaccounted[s], fall-(run.writtenOff[s]-before.writtenOff[s]))
		}
		fresh := fall - (run.writtenOff[0] - before.writtenOff[0])
		if fresh > 0 {
			falls = append(falls, shortfall{stage: t, fruits: fresh, expected: *x + run.removed[t] + fresh, from: before.visit, stood: before.standing, seen: before.seen})
		}
	}
	for s := range n {
		run.writtenOff[s] += e.Unaccounted[s]
	}
	return falls
}

// settle makes this count, the one being booked, the last that told stage s.
func (run *running) settle(s, standing, visit int) {
	run.measureFrom(s, standing, visit, false)
	nt := &run.net[s]
	nt.short = nt.highest - (standing + run.removed[s] + run.unsure[s])
}

// promise makes this count, which doesn't tell stage s, the one that the stage is measured from if it is sure of more than
// the one so far, or if that one can't be compared with any more.
func (run *running) promise(s, standing, visit int) {
	before := &run.last[s]
	comparable := before.visit >= 0 && before.unbounded == run.unbounded[s]
	if comparable && standing+run.removed[s]+run.unsure[s] <= before.accounted+before.unsure {
		return
	}
	run.measureFrom(s, standing, visit, true)
}

// measureFrom keeps what is needed to hold later counts of stage s against this one.
func (run *running) measureFrom(s, standing, visit int, seen bool) {
	before, nt := &run.last[s], &run.net[s]
	accounted := standing + run.removed[s]
	level := accounted + run.unsure[s] // comparable while no removal of any number comes between
	if before.visit < 0 || nt.unbounded != run.unbounded[s] {
		*nt = net{closed: nt.closed + nt.short, highest: level, unbounded: run.unbounded[s]}
	}
	nt.highest = max(nt.highest, level)
	snapshot := before.writtenOff
	copy(snapshot, run.writtenOff)
	*before = known{visit: visit, seen: seen, standing: standing, accounted: accounted, unsure: run.unsure[s],
		unbounded: run.unbounded[s], writtenOff: snapshot}
}

// shortfalls is the net number missing at or beyond each stage, where fruit missing at or beyond a riper stage is missing at
// or beyond this one too. What the last count was short by, as what was taken on its day shows, isn't missing.
func (run *running) shortfalls(left []remaining) []int {
	missing, most := make([]int, len(run.net)), 0
	for s := len(run.net) - 1; s >= 0; s-- {
		net := run.net[s].closed + run.net[s].short
		if left != nil {
			net -= min(left[s].short, run.net[s].short)
		}
		most = max(most, net)
		missing[s] = most
	}
	return missing
}
