package report

import (
	"slices"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// ripeLines are how many fruit of each plant had ever reached the ripe stage.
type ripeLines struct {
	of   map[crop.ID]*ripeLine
	days []crop.Date // on which anything was counted, in order
	end  crop.Date   // the last by which every plant that still stands had been counted
}

func newRipeLines(records []crop.PlantRecords) *ripeLines {
	all := &ripeLines{of: map[crop.ID]*ripeLine{}}
	days := map[crop.Date]bool{}
	for i := range records {
		l := newRipeLine(records[i], ledger.Of(records[i]))
		all.of[records[i].Plant.ID] = l
		for _, d := range l.day {
			days[d] = true
		}
	}
	for d := range days {
		all.days = append(all.days, d)
	}
	slices.SortFunc(all.days, crop.Date.Compare)
	if n := len(all.days); n > 0 {
		all.end = all.days[n-1]
	}
	for _, l := range all.of {
		if n := len(l.day); n > 0 && !l.gone && l.day[n-1].Before(all.end) {
			all.end = l.day[n-1]
		}
	}
	return all
}

// closest is the day of counting from least to most days before another on which the counts leave the fewest fruit open; of several
// the one nearest to so many days before. It is zero where there is none.
func (all *ripeLines) closest(to crop.Date, least, most, about int) crop.Date {
	var best crop.Date
	bestOpen, bestOff := 0.0, 0
	for _, d := range all.days {
		back := to.DaysSince(d)
		if back < least || back > most {
			continue
		}
		open, off := all.open(d), max(back-about, about-back)
		if best.IsZero() || open < bestOpen || open == bestOpen && off < bestOff {
			best, bestOpen, bestOff = d, open, off
		}
	}
	return best
}

// previous is the last day of counting before another, zero if there is none.
func (all *ripeLines) previous(to crop.Date) crop.Date {
	var last crop.Date
	for _, d := range all.days {
		if d.Before(to) {
			last = d
		}
	}
	return last
}

// open is how many fruit may or may not have been ripe at the end of a day.
func (all *ripeLines) open(d crop.Date) float64 {
	sum := 0.0
	for _, l := range all.of {
		if len(l.day) > 0 {
			before, _, after := l.around(d)
			sum += after - before
		}
	}
	return sum
}

// ripeLine is the number of one plant by the counts that tell it and aren't doubted.
type ripeLine struct {
	day   []crop.Date
	fruit []float64 // never falls
	gone  bool
	// doubted are the days of pickings and losses of ripe fruit that may be of fewer than was written.
	doubted []crop.Date
}

func newRipeLine(r crop.PlantRecords, b ledger.Book) *ripeLine {
	l := &ripeLine{gone: b.Removed || r.SeasonOver}
	if b.Ripe < 0 {
		return l
	}
	for i := range b.Removals {
		if x := &b.Removals[i]; x.Doubted && x.Stage >= b.Ripe {
			l.doubted = append(l.doubted, x.At.LocalDate())
		}
	}
	most := 0.0
	for i := range b.Visits {
		v := &b.Visits[i]
		n := v.EverReached[b.Ripe]
		if n == nil || v.DoubtedAt(b.Ripe) {
			continue
		}
		most = max(most, float64(*n))
		d := v.CountedAt.LocalDate()
		if k := len(l.day); k > 0 && l.day[k-1] == d {
			l.fruit[k-1] = most
			continue
		}
		l.day, l.fruit = append(l.day, d), append(l.fruit, most)
	}
	return l
}

// doubtful tells whether a picking or loss in doubt lies in the days after one and up to another, so that nobody knows how many became ripe in them.
func (l *ripeLine) doubtful(from, to crop.Date) bool {
	return slices.ContainsFunc(l.doubted, func(d crop.Date) bool { return d.After(from) && !d.After(to) })
}

// around is the number at the count before a day, on the day along a straight line, and at the count after it. On a day of counting
// the three are one, and so they are after the last count and before the first.
func (l *ripeLine) around(d crop.Date) (before, then, after float64) {
	i := slices.IndexFunc(l.day, func(day crop.Date) bool { return !day.Before(d) })
	switch {
	case i < 0:
		i = len(l.day) - 1
		return l.fruit[i], l.fruit[i], l.fruit[i]
	case i == 0 || l.day[i] == d:
		return l.fruit[i], l.fruit[i], l.fruit[i]
	}
	share := float64(d.DaysSince(l.day[i-1])) / float64(l.day[i].DaysSince(l.day[i-1]))
	return l.fruit[i-1], l.fruit[i-1] + share*(l.fruit[i]-l.fruit[i-1]), l.fruit[i]
}
