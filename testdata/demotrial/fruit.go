package demotrial

import (
	"math"

	"vinetally/analytics/simulate"
)

// fruit is one fruit's true life. It ripens as the simulator of fruit has it; when
// somebody notices it, what it weighs and what becomes of it belong to the
// household's story. All times are hours of its season.
type fruit struct {
	simulate.Fruit
	// seen is when somebody could notice it (some hide behind leaves). A fruit
	// once seen stays seen.
	seen hours
	// falls is when it goes by itself if nobody picks it, by cause.
	falls hours
	cause string
	massG float64
}

// stageAt returns the stage (0 green … 3 ripe) of a fruit on the plant.
func (f *fruit) stageAt(h hours) int {
	stage, _ := f.Stage(h)
	return stage
}

// countable reports whether an observer finds the fruit on the plant.
func (f *fruit) countable(h hours) bool { return h < f.Gone && f.seen <= h }

// gone reports whether the fruit has gone from the plant, whichever way.
func (f *fruit) gone() bool { return !math.IsInf(f.Gone, 1) }

const ripe = simulate.Red

// growFruit sets all the fruit a plant will ever bear, in order of truss.
func growFruit(s seasonPlan, p plantPlan, air map[string][]float64) (all []*fruit, firstFlower hours) {
	d := newDice(s.name, p.label, "fruit")
	c := cultivarNamed(p.cultivar)
	bio := c.ripening.Biology(math.Exp(simulate.PlantSpread*d.normal()), airAround(s, p, air))
	size := 1 + 0.07*d.normal()  // this plant's own size of fruit
	burden := 1 + 0.1*d.normal() // and fruit per truss
	firstFlower = s.hour(day(p.sown)) + 24*(c.firstFlowerDays+p.slowerDays+0.7*d.normal()) + 11

	flush := func(firstTruss, trusses, perTruss int, opens hours, share float64) {
		for k := range trusses {
			opensTruss := opens + 24*(2.3*float64(k)+0.4*d.normal())
			n := max(2, int(math.Round(float64(perTruss)*burden+0.8*d.normal())))
			for j := range n {
				set := opensTruss + 24*(5+0.8*float64(j)+0.5*math.Abs(d.normal()))
				f := &fruit{Fruit: bio.Fruit(firstTruss+k, set, d.rng()), seen: set}
				if d.chance(0.12) {
					f.seen += 24 * d.between(3, 16)
				}
				f.massG = math.Max(2, c.fruitG*size*share*(1+0.17*d.normal()))
				f.falls = bio.Falls(&f.Fruit, c.holding, d.rng())
				end(d, f, p)
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

// end decides how the fruit goes if it is left alone, and that some go before
// their time. Most hang until they are long past ripe and fall then; a few dry up
// young, crack while colouring or, out of doors, are pecked as soon as they are
// ripe.
func end(d *dice, f *fruit, p plantPlan) {
	outdoors := p.placeOn("9999-12-31") == balcony
	f.cause = "dropped"
	switch u := d.uniform(); {
	case u < 0.25:
		f.cause = "split"
	case u < 0.45:
		f.cause = "rotted"
	}
	switch u := d.uniform(); {
	case u < 0.025:
		f.falls, f.cause = f.Enters[simulate.Green]+24*d.between(2, 12), "dried"
	case u < 0.05:
		f.falls, f.cause = f.Enters[simulate.Turning]+24*d.between(0.5, 6), "split"
	case u < 0.06:
		f.falls, f.cause = f.Enters[simulate.Breaker]+24*d.between(0.5, 4), "rotted"
	case u < 0.11 && outdoors:
		f.falls, f.cause = f.Enters[ripe]+24*d.between(0.2, 4), "pest"
	}
}
