package yield

import (
	"fmt"
	"math"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
	"vinetally/analytics/phenology"
)

// Plant is the yield of one plant.
type Plant struct {
	Records *crop.PlantRecords
	Tally   Tally
	// FruitsAtMost is the fruit picked with all that was picked from the plant's unit, of which none to all is of this plant; nil where
	// fruit went uncounted. Tally.Fruits is the lower end.
	FruitsAtMost *int
	Grams        Grams // of all that was picked, counted or weighed
	// Marketable is the mass of marketable fruit alone.
	Marketable Grams
	// DaysFrom is what days are counted from: sowing, transplanting or the first count; Began is that day.
	DaysFrom string
	Began    *crop.Date
	// FirstColour and FirstRipe are in days: not after Low… see Days.
	FirstColour, FirstRipe *Days
	// To10, To50 and To90 are the days by which a tenth, half and nine tenths of the final yield had been picked: of marketable mass
	// where all of it is known or estimated, else of marketable fruit. Nil until the plant is final.
	To10, To50, To90 *float64
	ShareOf          string // "marketable mass" or "marketable fruit"
	Final            bool   // removed, or its season over
	// PerWeek is the fruit picked a week from the first picking to the last; nil of less than a week.
	PerWeek *float64
	// FirstFourWeeks is what was picked in 28 days from the first picking, to compare plants that are not final; nil before they are over.
	FirstFourWeeks *Horizon
	Weeks          []Week // what was picked of this plant, in order
	Milestones     []phenology.Milestone
	Stages         []phenology.Stage
	Warnings       []string
}

// Days is when something first was so, in days: on day High, and after day Low where somebody had looked.
type Days struct {
	Low  *float64
	High float64
}

// Plants works out the yield of every plant, in the trial's order. The trial is arranged and as of asOf.
func Plants(t *crop.Trial, asOf time.Time) []Plant {
	records := t.ByPlant()
	out := make([]Plant, 0, len(records))
	season, weights := Of(t), NewWeights(t)
	masses := weights.masses
	for i := range records {
		r := &records[i]
		if r.Cultivar == nil || r.Scale == nil {
			continue
		}
		book := ledger.Of(*r)
		p := Plant{Records: r, Tally: season.Plants[r.Plant.ID], Grams: Grams{Sure: true}, Marketable: Grams{Sure: true}, Final: book.Removed || r.SeasonOver}
		p.Milestones, p.Warnings = phenology.Milestones(*r, &book, phenology.DiaryOf(t, r.Plant.ID))
		p.Stages = phenology.BBCH(p.Milestones, &book)
		p.begin(&book)
		p.FruitsAtMost = book.Totals.PickedAtMost
		p.weigh(weights, masses)
		p.firsts()
		p.pace(asOf, weights, masses)
		p.shares(weights, masses)
		p.say(&book)
		out = append(out, p)
	}
	return out
}

func (p *Plant) begin(b *ledger.Book) {
	switch plant := p.Records.Plant; {
	case plant.SownOn != nil:
		p.DaysFrom, p.Began = "sowing", plant.SownOn
	case plant.TransplantedOn != nil:
		p.DaysFrom, p.Began = "transplanting", plant.TransplantedOn
	case len(b.Visits) > 0:
		day := b.Visits[0].CountedAt.LocalDate()
		p.DaysFrom, p.Began = "the first count", &day
	}
}

// days counts from the plant's first day; nil where it isn't known.
func (p *Plant) days(on crop.Date) *float64 {
	if p.Began == nil {
		return nil
	}
	return new(float64(on.DaysSince(*p.Began)))
}

// gramsOf is the mass of one picking, estimated where it wasn't weighed.
func (p *Plant) gramsOf(pick *crop.Picking, w *Weights, masses map[crop.ID]Mass) Grams {
	return w.picking(p.Records.Cultivar.ID, pick, masses[pick.ID])
}

func (p *Plant) weigh(w *Weights, masses map[crop.ID]Mass) {
	weeks := weekSums{}
	for i := range p.Records.Pickings {
		pick := &p.Records.Pickings[i]
		g := p.gramsOf(pick, w, masses)
		p.Grams.add(g)
		if pick.Grade != crop.Cull {
			p.Marketable.add(g)
		}
		weeks.add(pick, g)
	}
	p.Weeks = weeks.inOrder()
}

func (p *Plant) firsts() {
	for _, m := range p.Milestones {
		at := p.days(m.On)
		if at == nil {
			continue
		}
		d := &Days{High: *at}
		if m.After != nil {
			d.Low = p.days(*m.After)
		}
		switch m.Name {
		case phenology.FirstColour:
			p.FirstColour = d
		case phenology.FirstRipe:
			p.FirstRipe = d
		}
	}
}

func (p *Plant) say(b *ledger.Book) {
	warn := func(format string, args ...any) { p.Warnings = append(p.Warnings, fmt.Sprintf(format, args...)) }
	if !p.Final {
		warn("Fruit may still be picked, so the days to a share of the final yield aren't known.")
	}
	if p.DaysFrom != "sowing" && p.DaysFrom != "" {
		warn("The day of sowing isn't on record; days count from %s.", p.DaysFrom)
	}
	if p.Grams.Estimated > 0 {
		warn("%d g of the mass are estimated from the mean fruit mass of the same cultivar and stage.", int(math.Round(p.Grams.Estimated)))
	}
	if n := p.Grams.Missing; n > 0 {
		warn("The mass of %d fruit is missing: none of their cultivar and stage was weighed by itself.", n)
	}
	if n := p.Tally.Uncounted; n > 0 {
		warn("%d pickings were weighed and not counted; their fruit are in no number of fruit.", n)
	}
	if n := unitPicked(b); n > 0 {
		warn("Between %d and %d fruit were picked from this plant: %d are recorded of its unit as a whole, and are in no other number of the plant.",
			p.Tally.Fruits, p.Tally.Fruits+n, n)
	}
	if left := b.Totals.LeftAtRemoval; left != nil && *left > 0 {
		warn("%d fruit stood when the plant was removed and are in no yield.", *left)
	}
}

// unitPicked is the fruit of known number that was picked from the plant's unit.
func unitPicked(b *ledger.Book) int {
	n := 0
	for i := range b.Removals {
		if r := &b.Removals[i]; r.Picked && !r.Sure {
			n += r.Fruits
		}
	}
	return n
}
