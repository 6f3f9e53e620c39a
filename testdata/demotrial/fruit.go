package demotrial

import "math"

// fruit is one fruit's true life. All times are hours of its season.
type fruit struct {
	truss int // numbered over the whole plant, from 0
	// set is when it is big enough to count; seen is when somebody could notice
	// it (some hide behind leaves). A fruit once seen stays seen.
	set, seen hours
	// enters is when it comes into each stage; enters[0] is set.
	enters [4]hours
	// falls is when it goes by itself if nobody picks it, by cause.
	falls hours
	cause string
	massG float64

	gone   bool
	goneAt hours
}

// stageAt returns the fruit's stage (0 green … 3 ripe) at an hour.
func (f *fruit) stageAt(h hours) int {
	stage := 0
	for s, at := range f.enters {
		if at <= h {
			stage = s
		}
	}
	return stage
}

// countable reports whether an observer finds the fruit on the plant.
func (f *fruit) countable(h hours) bool { return !f.gone && f.seen <= h }

const ripe = 3

// growFruit sets all the fruit a plant will ever bear, in order of truss.
func growFruit(s seasonPlan, p plantPlan, air map[string][]float64) (all []*fruit, firstFlower hours) {
	d := newDice(s.name, p.label, "fruit")
	c := cultivarNamed(p.cultivar)
	bio := newBiology(s, p, air)
	pace := 1 + 0.03*d.normal()  // this plant's own speed
	size := 1 + 0.07*d.normal()  // and size of fruit
	burden := 1 + 0.1*d.normal() // and fruit per truss
	firstFlower = s.hour(day(p.sown)) + hours(24*(c.firstFlowerDays+p.slowerDays+0.7*d.normal())) + 11

	flush := func(firstTruss, trusses, perTruss int, opens hours, share float64) {
		for k := range trusses {
			opensTruss := opens + hours(24*(2.3*float64(k)+0.4*d.normal()))
			n := max(2, int(math.Round(float64(perTruss)*burden+0.8*d.normal())))
			for j := range n {
				f := &fruit{truss: firstTruss + k}
				f.set = opensTruss + hours(24*(4+0.8*float64(j)+0.5*math.Abs(d.normal())))
				f.seen = f.set
				if d.chance(0.12) {
					f.seen += hours(24 * d.between(3, 16))
				}
				f.enters[0] = f.set
				f.enters[1] = after(bio.growing, f.set, pace*d.gamma(c.greenDays, 0.08))
				f.enters[2] = after(bio.colouring, f.enters[1], pace*d.gamma(c.breakerDays, 0.35))
				f.enters[3] = after(bio.colouring, f.enters[2], pace*d.gamma(c.turningDays, 0.3))
				f.massG = math.Max(2, c.fruitG*size*share*(1+0.17*d.normal()))
				end(d, f, c, p)
				all = append(all, f)
			}
		}
	}
	flush(0, c.trusses, c.perTruss, firstFlower, 1)
	if p.secondFlush {
		flush(c.trusses, c.secondTrusses, c.secondPerTruss, firstFlower+24*33, 0.86)
	}
	return all, firstFlower
}

// end decides how and when the fruit goes if it is left alone. Most hang until
// they are long past ripe; a few dry up young, crack while colouring or, out of
// doors, are pecked as soon as they are ripe.
func end(d *dice, f *fruit, c cultivarPlan, p plantPlan) {
	outdoors := p.placeOn("9999-12-31") == balcony
	overripe := f.enters[ripe] + hours(24*d.gamma(c.hangsDays, 0.4))
	cause := "dropped"
	switch u := d.uniform(); {
	case u < 0.25:
		cause = "split"
	case u < 0.45:
		cause = "rotted"
	}
	f.falls, f.cause = overripe, cause
	switch u := d.uniform(); {
	case u < 0.025:
		f.falls, f.cause = f.set+hours(24*d.between(2, 12)), "dried"
	case u < 0.05:
		f.falls, f.cause = f.enters[2]+hours(24*d.between(0.5, 6)), "split"
	case u < 0.06:
		f.falls, f.cause = f.enters[1]+hours(24*d.between(0.5, 4)), "rotted"
	case u < 0.11 && outdoors:
		f.falls, f.cause = f.enters[ripe]+hours(24*d.between(0.2, 4)), "pest"
	}
}
