package thermal

import (
	"cmp"
	"slices"
	"time"
)

// Gap is a stretch between two readings that are more than three hours apart.
type Gap struct {
	From, To time.Time
	// Shaped: it was filled with the shape of whole days near it; else with a straight line, which takes the nights away
	// from the days and the days from the nights.
	Shaped bool
}

// point is a reading, or what stands in for one in a gap. The rest tells of the stretch that ends here.
type point struct {
	Reading
	filled bool
	gap    time.Duration // how long the gap is that it is filled in
}

// fill puts hourly points into the gaps of readings in the order of time: the mean course of nearby whole days, shifted so
// that it meets the readings at both ends, the shift changing evenly between.
func fill(kept []Reading) ([]point, []Gap) {
	path := make([]point, 0, len(kept))
	path = append(path, point{Reading: kept[0]})
	var gaps []Gap
	var days []course // worked out when the first gap is met
	for i, b := range kept[1:] {
		a := kept[i]
		if b.At.Sub(a.At) <= longestStep {
			path = append(path, point{Reading: b})
			continue
		}
		if days == nil {
			days = wholeDays(kept)
		}
		shape, ok := shapeNear(days, a.At.Add(b.At.Sub(a.At)/2))
		gaps = append(gaps, Gap{a.At, b.At, ok})
		from, to := a.AirC-shape.at(a.At), b.AirC-shape.at(b.At)
		for t := a.At.Truncate(time.Hour).Add(time.Hour); t.Before(b.At); t = t.Add(time.Hour) {
			part := float64(t.Sub(a.At)) / float64(b.At.Sub(a.At))
			path = append(path, point{Reading{t, from + (to-from)*part + shape.at(t)}, true, b.At.Sub(a.At)})
		}
		path = append(path, point{b, true, b.At.Sub(a.At)})
	}
	return path, gaps
}

// course is the temperature at the full hours of a day by UTC, as differences from their mean.
type course struct {
	day   int64 // days since 1970
	hours [24]float64
}

// at is the difference at an instant, straight between full hours.
func (c *course) at(t time.Time) float64 {
	h := float64(t.Unix()%86400) / 3600
	i := int(h)
	part := h - float64(i)
	return c.hours[i]*(1-part) + c.hours[(i+1)%24]*part
}

// wholeDays are the days without a gap at any full hour; the temperature there is on the straight line between readings.
func wholeDays(kept []Reading) []course {
	days := []course{}
	now := course{}
	next := 0 // the hour that is wanted of now
	for i := range kept[1:] {
		a, b := kept[i], kept[i+1]
		if b.At.Sub(a.At) > longestStep {
			next = 0
			continue
		}
		for t := a.At.Truncate(time.Hour); !t.After(b.At); t = t.Add(time.Hour) {
			if t.Before(a.At) || t.Equal(b.At) && i+2 < len(kept) {
				continue // the neighbours' stretches have it
			}
			number, hour := t.Unix()/86400, int(t.Unix()%86400/3600)
			if hour == 0 {
				now, next = course{day: number}, 0
			}
			if hour != next || number != now.day {
				continue
			}
			part := float64(t.Sub(a.At)) / float64(b.At.Sub(a.At))
			now.hours[hour] = a.AirC + (b.AirC-a.AirC)*part
			if next++; next == 24 {
				days, next = append(days, now.centred()), 0
			}
		}
	}
	return days
}

// centred is the course with its mean taken off.
func (c course) centred() course {
	mean := 0.0
	for _, v := range c.hours {
		mean += v / 24
	}
	for h := range c.hours {
		c.hours[h] -= mean
	}
	return c
}

const (
	fewestDays = 3  // for a shape
	mostDays   = 14 // nearest ones
)

// shapeNear is the mean course of the whole days nearest to an instant; ok is false, and the shape flat, if there are too few.
func shapeNear(days []course, t time.Time) (shape course, ok bool) {
	if len(days) < fewestDays {
		return course{}, false
	}
	number := t.Unix() / 86400
	distance := func(c course) int64 { return max(c.day-number, number-c.day) }
	near := slices.Clone(days)
	slices.SortStableFunc(near, func(a, b course) int { return cmp.Compare(distance(a), distance(b)) })
	near = near[:min(len(near), mostDays)]
	for _, c := range near {
		for h, v := range c.hours {
			shape.hours[h] += v / float64(len(near))
		}
	}
	return shape, true
}
