package crop

import "time"

// LastStamped returns the latest instant of a count, picking, loss, diary entry or reading of the trial whose time is known; the zero
// time where there is none. Unlike LastRecord it passes over days alone.
func (t *Trial) LastStamped() time.Time {
	var last time.Time
	later := func(m Moment) {
		if m.TimeKnown() && m.At.After(last) {
			last = m.At
		}
	}
	for i := range t.Visits {
		later(t.Visits[i].CountedAt)
	}
	for i := range t.Pickings {
		later(t.Pickings[i].PickedAt)
	}
	for i := range t.Losses {
		later(t.Losses[i].LostAt)
	}
	for i := range t.Diary {
		later(t.Diary[i].NotedAt)
	}
	for i := range t.Temperatures {
		if at := t.Temperatures[i].MeasuredAt; at.After(last) {
			last = at
		}
	}
	return last
}
