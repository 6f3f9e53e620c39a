package waste

import (
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
	"vinetally/analytics/pastripe"
	"vinetally/analytics/yield"
)

// Plant is the waste of a plant.
type Plant struct {
	Records *crop.PlantRecords
	Sum
}

func ofPlant(r crop.PlantRecords, asOf time.Time, holdDays float64, w *yield.Weights) Sum {
	book := ledger.Of(r)
	s := none()
	for i := range r.Pickings {
		s.pick(&r.Pickings[i], r.Scale, r.Cultivar.ID, w)
	}
	for i := range r.Losses {
		s.lose(&r.Losses[i], r.Scale, r.Cultivar.ID, w)
	}
	past := pastripe.Of(r, book, asOf, holdDays)
	s.PastRipe, s.StandingRipe = past.Certain, past.StandingRipeAtLeast
	s.PastRipeG, _ = w.Of(r.Cultivar.ID, r.Scale.RipeStage, crop.DateOf(asOf), s.PastRipe)
	s.Ripened += s.StandingRipe
	s.Unaccounted = book.Totals.Unaccounted
	if book.Removed {
		s.UnripeAtEnd = unripeLeft(&book)
	}
	return s
}

// unripeLeft is what was left unripe when a plant was removed: all that was left less what of it was ripe; nil where not known.
func unripeLeft(b *ledger.Book) *int {
	if b.Ripe < 0 || len(b.Totals.Balance) <= b.Ripe {
		return nil
	}
	all, ripe := b.Totals.Balance[0], b.Totals.Balance[b.Ripe]
	if all == nil || ripe == nil {
		return nil
	}
	return new(max(all.LeftAtRemoval-ripe.LeftAtRemoval, 0))
}
