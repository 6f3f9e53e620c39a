package ledger_test

import (
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// season returns 1,000 plants with 50 visits each and consistent records.
func season() []crop.PlantRecords {
	scale := crop.DefaultScale()
	all := make([]crop.PlantRecords, 1000)
	for i := range all {
		r := &all[i]
		r.Plant, r.Scale = &crop.Plant{ID: crop.ID{1, byte(i >> 8), byte(i)}}, &scale
		for day := range 50 {
			at := crop.InstantMoment(beginning.AddDate(0, 0, 2*day))
			id := crop.ID{2, byte(i >> 8), byte(i), byte(day)}
			later := crop.InstantMoment(at.At.Add(time.Hour))
			// From the tenth visit on one fruit a visit turns red; it is picked at the next, every fifth time found dropped.
			turned := max(0, day-10)
			r.Visits = append(r.Visits, crop.Visit{ID: id, CountedAt: at,
				Counts: map[string]int{"green": 60 - turned, "breaker": 0, "turning": 0, "red": min(turned, 1)}})
			switch {
			case turned == 0:
			case day%5 == 0:
				r.Losses = append(r.Losses, crop.Loss{ID: id, LostAt: later, Stage: "red", Fruits: new(1), Cause: crop.Dropped})
			default:
				r.Pickings = append(r.Pickings, crop.Picking{ID: id, PickedAt: at, Stage: "red", Fruits: new(1)})
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

// TestBenchmarkSeason: the season that the benchmark runs on is one without contradictions, as most are.
func TestBenchmarkSeason(t *testing.T) {
	book := ledger.Of(season()[0])
	checkInvariants(t, &book)
	if len(book.Contradictions) > 0 || len(book.Visits) != 50 || book.Totals.Picked < 20 {
		t.Errorf("got %d contradictions, %d visits, %d picked", len(book.Contradictions), len(book.Visits), book.Totals.Picked)
	}
}
