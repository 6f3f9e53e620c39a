package forecast_test

import (
	"math"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/ledger"
	"vinetally/analytics/ripening"
	"vinetally/analytics/simulate"
)

// benchTrial is a simulated trial of so many plants with so many counts each before a moment.
func benchTrial(tb testing.TB, plants, cultivars, visits int) (records []crop.PlantRecords, books []ledger.Book, cut *crop.Trial, asOf time.Time) {
	c, _ := simulate.Named("steady")
	c.Plants, c.Cultivars = plants, cultivars
	c.Every = [2]float64{2, 2}
	w := simulate.New(c, 1)
	asOf = w.Start.AddDate(0, 0, 38+2*(visits-1)).Add(20*time.Hour + 30*time.Minute)
	cut = w.Trial.AsOf(asOf)
	records = cut.ByPlant()
	for i := range records {
		books = append(books, ledger.Of(records[i]))
		if n := len(books[i].Visits); n != visits {
			tb.Fatalf("%d visits, want %d", n, visits)
		}
	}
	return records, books, cut, asOf
}

func benchFit(b *testing.B, plants, cultivars, visits int) {
	records, books, cut, asOf := benchTrial(b, plants, cultivars, visits)
	b.ReportAllocs()
	for b.Loop() {
		f := forecast.Of(ripening.Of(cut, records, books, asOf, nil), forecast.Options{Days: forecast.DefaultDays})
		if len(f.Plants) != plants || math.IsNaN(f.Season[0].Mean) {
			b.Fatal("no forecast")
		}
	}
}

// BenchmarkFit4x40 is the fit and forecast of 4 plants with 40 visits each, from their ledgers:
//
//	go test -run xxx -bench Fit -benchmem ./analytics/forecast
func BenchmarkFit4x40(b *testing.B) { benchFit(b, 4, 1, 40) }

// BenchmarkFit1000x50 is that of 1,000 plants of one cultivar with 50 visits each.
func BenchmarkFit1000x50(b *testing.B) { benchFit(b, 1000, 1, 50) }

// BenchmarkFit10Cultivars1000x50 is the same of ten cultivars, whose parameters are fitted one after another.
func BenchmarkFit10Cultivars1000x50(b *testing.B) { benchFit(b, 1000, 10, 50) }

func benchCountFits(b *testing.B, plants, visits int) {
	records, books, cut, asOf := benchTrial(b, plants, 1, visits)
	m := ripening.Of(cut, records, books, asOf, nil)
	b.ReportAllocs()
	for b.Loop() {
		if len(m.CountFits(nil)[0]) != visits-1 {
			b.Fatal("counts are missing")
		}
	}
}

// BenchmarkCountFits4x40 leaves out each count of 4 plants with 40 visits each, the model being fitted:
//
//	go test -run xxx -bench CountFits -benchmem ./analytics/forecast
func BenchmarkCountFits4x40(b *testing.B) { benchCountFits(b, 4, 40) }

// BenchmarkCountFits1000x50 does so of 1,000 plants with 50 visits each.
func BenchmarkCountFits1000x50(b *testing.B) { benchCountFits(b, 1000, 50) }
