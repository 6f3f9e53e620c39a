package pastripe

import (
	"fmt"

	"vinetally/analytics/ledger"
)

// Season sums up the plants of a season.
type Season struct {
	// StandingRipe is nil unless it is known of every plant.
	StandingRipe        *int
	StandingRipeAtLeast int
	// Certain is the sum of the plants' lower bounds, itself a lower bound: fruit taken from a unit was deducted from every
	// plant of it.
	Certain       int
	PlantsCertain int // plants with at least one such fruit
	Warnings      []string
}

// Sum adds up the plants of a season. The sentence that certain numbers rest on complete records comes once, first.
func Sum(plants []Plant) Season {
	s := Season{StandingRipe: new(0), Warnings: []string{RestsOnRecords}}
	open := 0
	for i := range plants {
		p := &plants[i]
		s.StandingRipeAtLeast += p.StandingRipeAtLeast
		s.Certain += p.Certain
		if p.Certain > 0 {
			s.PlantsCertain++
		}
		if p.StandingRipe == nil {
			open++
		} else if s.StandingRipe != nil {
			*s.StandingRipe += *p.StandingRipe
		}
	}
	if open > 0 {
		s.StandingRipe = nil
		of := fmt.Sprintf("Of %d of %d plants", open, len(plants))
		if len(plants) == 1 {
			of = "Of the only plant"
		}
		s.Warnings = append(s.Warnings, of+" it isn't known how much ripe fruit stands; the sum holds what is sure.")
	}
	return s
}

// open says in plain words what the records leave open.
func (p *Plant) open(b *ledger.Book) []string {
	var words []string
	switch {
	case len(b.Visits) == 0:
		words = append(words, "This plant was never counted, so nothing is known of ripe fruit on it.")
	case p.StandingRipe == nil:
		words = append(words, fmt.Sprintf("How much ripe fruit stands isn't known exactly; at least %d.", p.StandingRipeAtLeast))
	case *p.StandingRipe > 0 && p.LongestDays == nil:
		words = append(words, "Ripe fruit hung at every count so far, so the oldest may have hung since before the first.")
	}
	taken := 0
	for i := range b.Removals {
		if r := &b.Removals[i]; reaches(r, b.Ripe) && (!r.Sure || !r.Counted) {
			taken++
		}
	}
	if taken > 0 {
		have := fmt.Sprintf("%d pickings or losses of ripe fruit have", taken)
		if taken == 1 {
			have = "1 picking or loss of ripe fruit has"
		}
		words = append(words, have+" no number or no plant; what may have gone by that is deducted in full from what is certain.")
	}
	doubted := 0
	for i := range b.Visits {
		if b.Visits[i].DoubtedAt(b.Ripe) {
			doubted++
		}
	}
	switch {
	case doubted == 1:
		words = append(words, "A count of ripe fruit that a later one contradicts makes nothing certain.")
	case doubted > 1:
		words = append(words, fmt.Sprintf("%d counts of ripe fruit that later ones contradict make nothing certain.", doubted))
	}
	return words
}
