package report

import (
	"time"

	"vinetally/analytics/crop"
)

// EndOf is the last moment of a day at the trial's places; of several zones the latest end counts.
func EndOf(t *crop.Trial, day crop.Date) time.Time {
	next := day.AddDays(1)
	end := next.Start(time.UTC)
	for i := range t.Places {
		if at := next.Start(t.Places[i].Location()); i == 0 || at.After(end) {
			end = at
		}
	}
	return end.Add(-time.Millisecond)
}

// Moment is what the report of a trial speaks of: AsOf, or the last record.
func (o Options) Moment(t *crop.Trial) time.Time {
	if o.AsOf.IsZero() {
		return t.LastRecord()
	}
	return o.AsOf
}

// Backwards tells whether a period would begin after the day that the report of a trial speaks of, which is returned.
func (o Options) Backwards(t *crop.Trial) (bool, crop.Date) {
	end := o.Moment(t)
	if o.From == nil || end.IsZero() {
		return false, crop.Date{}
	}
	day := crop.DateOf(end.In(t.Zone()))
	return o.From.After(day), day
}
