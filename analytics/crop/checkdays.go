package crop

import "time"

// moment places m in the zone where the plant stood and refuses times before it was there or in the future. Without a
// plant it stays in the zone it came with.
func (c *checker) moment(pointer string, m *Moment, plant *Plant) {
	if !c.needMoment(pointer, *m) {
		return
	}
	if plant != nil {
		*m = m.In(LocationAt(plant, *m, c.refs))
		if since := plant.Since(); since != nil && m.LocalDate().Before(*since) {
			c.fault(pointer, "is %s, before the plant was %s, %s; mend this day, or the plant's", m, plant.began(), since)
		}
	} else if !m.TimeKnown() { // no place says in which zone it is that day
		c.dayPast(pointer, &m.Day)
		return
	}
	c.notFuture(pointer, *m)
}

func (c *checker) needMoment(pointer string, m Moment) bool {
	if m.IsZero() {
		c.fault(pointer, "is missing; give a time as RFC 3339 with an offset, or a day as YYYY-MM-DD")
	}
	return !m.IsZero()
}

func (c *checker) notFuture(pointer string, m Moment) {
	if !m.Within(c.now) {
		c.fault(pointer, "is %s, which is in the future (it is now %s); mend it, or record it once it has happened", m, InstantMoment(c.now.In(m.At.Location())))
	}
}

func (c *checker) needDay(pointer string, d *Date) {
	if d == nil {
		c.fault(pointer, "is missing; give a day as YYYY-MM-DD")
	}
}

// dayPast refuses days after today. A day is allowed while it is that day anywhere on Earth, since a bare date has no
// zone here.
func (c *checker) dayPast(pointer string, d *Date) {
	if latest := DateOf(c.now.UTC().Add(14 * time.Hour)); d != nil && d.After(latest) {
		c.fault(pointer, "is %s, which is in the future; mend it, or record it once it has happened", d)
	}
}

func (c *checker) dayOrder(pointer string, d, after *Date, what string) {
	if d != nil && after != nil && d.Before(*after) {
		c.fault(pointer, "is %s, before the plant was %s, %s; mend one of the two days", d, what, after)
	}
}
