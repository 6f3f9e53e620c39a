package forecast

import (
	"time"

	"vinetally/analytics/countdist"
	"vinetally/analytics/ripening"
)

func plant(x *ripening.Outlook, o Options, asOf time.Time) Plant {
	g := together([]*ripening.Outlook{x})
	p := Plant{
		ID: x.Plant.ID, Label: x.Plant.Label, CultivarID: x.Plant.Cultivar.ID, Cultivar: x.Plant.Cultivar.Name,
		NewlyRipe: g.days[:o.Days], Standing: x.Standing, RipeNow: ripeNow(x), Effect: x.Plant.Effect(Level),
	}
	visits := x.Plant.Book.Visits
	p.LastCount = visits[len(visits)-1].CountedAt.At
	p.PastRipe = pastRipe(x, o.hold(x.Plant), asOf)
	p.ToCome = *toCome(g, nil, &o, asOf)
	p.Warnings = plantWarnings(x, asOf)
	return p
}

// ripeNow is the ripe fruit that hangs on some plants, taken as independent.
func ripeNow(outlooks ...*ripening.Outlook) Range {
	mean, variance := 0.0, 0.0
	for _, x := range outlooks {
		ripe := x.Standing[len(x.Standing)-1]
		mean, variance = mean+max(0, ripe.Mean), variance+max(0, ripe.Variance)
	}
	return rangeOf(mean, fruits(mean, variance))
}

// rangeOf is a mean with the central interval of a distribution.
func rangeOf(mean float64, d countdist.Distribution) Range {
	return Range{mean, float64(d.Quantile((1 - Level) / 2)), float64(d.Quantile((1 + Level) / 2))}
}

func cultivar(v *ripening.Cultivar, outlooks []*ripening.Outlook, plants []Plant, o Options, asOf time.Time) Cultivar {
	g := together(outlooks)
	c := Cultivar{
		ID: v.ID, Name: v.Name, Residence: v.Residences(Level), Observing: v.Observing(Level),
		NewlyRipe: g.days[:o.Days], ToCome: toCome(g, toComeOf(plants, func(p *Plant) bool { return p.CultivarID == v.ID }), &o, asOf), Earlier: v.Earlier,
	}
	for _, p := range v.Plants {
		c.RestsOn.Plants++
		c.RestsOn.Visits += p.Visits
		c.RestsOn.Fruits += p.Book.Totals.SetAtLeast
	}
	told, again := false, false
	for i := range c.Residence {
		told = told || c.Told(i)
	}
	for _, p := range v.Plants {
		again = again || p.Visits > 1
	}
	c.FromTables = v.Earlier == 0 && !(told && again && coloured(v))
	c.Warnings = cultivarWarnings(v, &c)
	return c
}

// coloured tells whether any fruit was seen or taken beyond the first stage. That none has left it yet tells something of how long it
// takes, but not how long the stages of these plants are.
func coloured(v *ripening.Cultivar) bool {
	for _, p := range v.Plants {
		visits := p.Book.Visits
		if visits[len(visits)-1].EverReachedAtLeast[1] > 0 {
			return true
		}
		for i := range p.Book.Removals {
			if p.Book.Removals[i].Stage > 0 {
				return true
			}
		}
	}
	return false
}

// Told tells whether the records have told anything of how long fruit stay in a stage, beyond what was taken for granted.
func (c *Cultivar) Told(stage int) bool { return c.Residence[stage].Told > toldEnough }

// toldEnough is the part of a prior interval's width that records take away before they are said to have told anything.
const toldEnough = 0.1
