package ledger_test

import (
	"testing"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// season returns 1,000 plants with 50 visits each, a picking at every second visit and a loss at every fifth.
func season() []crop.PlantRecords {
	scale := crop.DefaultScale()
	all := make([]crop.PlantRecords, 1000)
	for i := range all {
		r := &all[i]
		r.Plant, r.Scale = &crop.Plant{ID: crop.ID{1, byte(i >> 8), byte(i)}}, &scale
		for day := range 50 {
			at := crop.InstantMoment(beginning.AddDate(0, 0, 2*day))
			id := crop.ID{2, byte(i >> 8), byte(i), byte(day)}
			r.Visits = append(r.Visits, crop.Visit{ID: id, CountedAt: at,
				Counts: map[string]int{"green": 60 - day, "breaker": day % 3, "turning": day % 4, "red": day % 5}})
			if day%2 == 0 {
				r.Pickings = append(r.Pickings, crop.Picking{ID: id, PickedAt: at, Stage: "red", Fruits: new(day % 5)})
			}
			if day%5 == 0 {
				r.Losses = append(r.Losses, crop.Loss{ID: id, LostAt: at, Stage: "red", Fruits: new(1), Cause: crop.Dropped})
			}
		}
	}
	return all
}

// BenchmarkSeason is the ledger of 1,000 plants with 50 visits each:
//
//	go test -bench Season -benchmem ./analytics/ledger
func BenchmarkSeason(b *testing.B) {
	records := season()
	for b.Loop() {
		for i := range records {
			ledger.Of(records[i])
		}
	}
}
