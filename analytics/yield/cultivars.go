package yield

import (
	"fmt"
	"math"

	"vinetally/analytics/crop"
)

// Cultivar is the yield of the plants of a cultivar: means over plants, each with the interval of the mean. A nil mean is of no plant
// that the number is known of; N says of how many it is.
type Cultivar struct {
	Cultivar                           *crop.Cultivar
	Plants                             int
	Fruits, MassG, MarketableShare     *Interval
	MarketableG                        *Interval // g, of the marketable fruit
	MeanFruitMassG                     *Interval // the mean of the plants' means of ripe marketable fruit
	DaysToFirstRipe, To10, To50, To90  *Interval
	PerWeek                            *Interval
	FirstFourWeeks, FirstFourWeeksMass *Interval
	Weeks                              []Week // all plants and whole units together
	Warnings                           []string
}

// fewPlants is the number of plants under which a mean speaks of these plants and not of the cultivar.
const fewPlants = 4

// Cultivars sums plants up, in the trial's order of cultivars.
func Cultivars(t *crop.Trial, plants []Plant) []Cultivar {
	weeks := weekly(t)
	var out []Cultivar
	for i := range t.Cultivars {
		c := Cultivar{Cultivar: &t.Cultivars[i], Weeks: weeks[t.Cultivars[i].ID]}
		var own []*Plant
		for j := range plants {
			if plants[j].Records.Cultivar.ID == c.Cultivar.ID {
				own = append(own, &plants[j])
			}
		}
		if c.Plants = len(own); c.Plants == 0 && len(c.Weeks) == 0 {
			continue
		}
		over := func(value func(*Plant) (float64, bool)) *Interval {
			var all []float64
			for _, p := range own {
				if v, ok := value(p); ok {
					all = append(all, v)
				}
			}
			return meanOf(all).within(0, math.Inf(1))
		}
		given := func(f func(*Plant) *float64) *Interval {
			return over(func(p *Plant) (float64, bool) {
				if v := f(p); v != nil {
					return *v, true
				}
				return 0, false
			})
		}
		c.Fruits = over(func(p *Plant) (float64, bool) { return float64(p.Tally.Fruits), true })
		c.MassG = over(func(p *Plant) (float64, bool) { return p.Grams.G(), p.Grams.Missing == 0 })
		c.MarketableG = over(func(p *Plant) (float64, bool) { return p.Marketable.G(), p.Marketable.Missing == 0 })
		c.MarketableShare = over(func(p *Plant) (float64, bool) {
			return float64(p.Tally.Marketable) / float64(max(p.Tally.Fruits, 1)), p.Tally.Fruits > 0
		}).within(0, 1)
		c.MeanFruitMassG = over(func(p *Plant) (float64, bool) { m, _, ok := p.Tally.RipeFruitMassG(); return m, ok })
		c.DaysToFirstRipe = over(func(p *Plant) (float64, bool) {
			if p.FirstRipe == nil {
				return 0, false
			}
			return p.FirstRipe.High, true
		})
		c.To10, c.To50, c.To90 = given(func(p *Plant) *float64 { return p.To10 }), given(func(p *Plant) *float64 { return p.To50 }), given(func(p *Plant) *float64 { return p.To90 })
		c.PerWeek = given(func(p *Plant) *float64 { return p.PerWeek })
		c.FirstFourWeeks = over(func(p *Plant) (float64, bool) {
			if p.FirstFourWeeks == nil {
				return 0, false
			}
			return float64(p.FirstFourWeeks.Fruits), true
		})
		c.FirstFourWeeksMass = over(func(p *Plant) (float64, bool) {
			if p.FirstFourWeeks == nil || p.FirstFourWeeks.Grams.Missing > 0 {
				return 0, false
			}
			return p.FirstFourWeeks.Grams.G(), true
		})
		c.say(own)
		out = append(out, c)
	}
	return out
}

func (c *Cultivar) say(own []*Plant) {
	if c.Plants > 0 && c.Plants < fewPlants {
		these := "these plants"
		if c.Plants == 1 {
			these = "it"
		}
		c.Warnings = append(c.Warnings, fmt.Sprintf("The means are of %s and speak of %s, not of the cultivar.", plantsWord(c.Plants), these))
	}
	going := 0
	for _, p := range own {
		if !p.Final {
			going++
		}
	}
	if going > 0 {
		who := fmt.Sprintf("%d of %s", going, plantsWord(c.Plants))
		switch {
		case c.Plants == 1:
			who = "The plant"
		case going == c.Plants:
			who = "All " + plantsWord(c.Plants)
		}
		c.Warnings = append(c.Warnings, who+" may still bear, so the means of fruit and mass may still rise.")
	}
	unit := 0
	for _, w := range c.Weeks {
		unit += w.Fruits
	}
	for _, p := range own {
		unit -= p.Tally.Fruits
	}
	if unit > 0 {
		text := fmt.Sprintf("%d fruit picked of whole units are in the weeks and in no plant's number", unit)
		if c.Plants > 0 && c.Fruits != nil {
			text += fmt.Sprintf("; with them %.1f fruit a plant were picked, not %.1f", c.Fruits.Value+float64(unit)/float64(c.Plants), c.Fruits.Value)
		}
		c.Warnings = append(c.Warnings, text+".")
	}
}

func plantsWord(n int) string {
	if n == 1 {
		return "one plant"
	}
	return fmt.Sprintf("%d plants", n)
}
