package curve

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// BenchmarkPlant is one stage of one plant, 25 visits: fit, choice of family, search for a second flush, intervals, line.
func BenchmarkPlant(b *testing.B) {
	records, books := grow(grown{plants: 1, visits: 25, fruit: 60}, rand.New(rand.NewPCG(2026, 31)))
	members := []plantBook{{records: &records[0], book: &books[0], origin: sown.Start(time.UTC), from: "sowing"}}
	b.ReportAllocs()
	for b.Loop() {
		if _, refusal := one(Subject{Scope: ScopePlant, Stage: "red"}, members, members[0], 3, timeline{}); refusal != nil {
			b.Fatal(refusal.Reason)
		}
	}
}

// BenchmarkCultivar is one stage of thirty plants pooled, 25 rounds.
func BenchmarkCultivar(b *testing.B) {
	records, books := grow(grown{plants: 30, visits: 25, fruit: 60}, rand.New(rand.NewPCG(2026, 32)))
	members := make([]plantBook, len(records))
	for i := range records {
		members[i] = plantBook{records: &records[i], book: &books[i], origin: sown.Start(time.UTC), from: "sowing"}
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, refusal := one(Subject{Scope: ScopeCultivar, Stage: "red"}, members, members[0], 3, timeline{}); refusal != nil {
			b.Fatal(refusal.Reason)
		}
	}
}

// BenchmarkSeason is a trial network: 1,000 plants of ten cultivars, 50 visits each, every stage.
func BenchmarkSeason(b *testing.B) {
	records, books := grow(grown{plants: 1000, visits: 50, fruit: 60, cultivar: func(i int) int { return i % 10 }}, rand.New(rand.NewPCG(2026, 33)))
	b.ReportAllocs()
	curves := 0
	for b.Loop() {
		curves = len(Season(records, books, places{}).Curves)
	}
	b.ReportMetric(float64(curves), "curves")
}

// BenchmarkThermalPlant is BenchmarkPlant on the thermal clock, with hourly readings of 200 days.
func BenchmarkThermalPlant(b *testing.B) {
	records, books := grow(grown{plants: 1, visits: 25, fruit: 60}, rand.New(rand.NewPCG(2026, 31)))
	records[0].Plant.PlaceID = warmPlace
	members := []plantBook{{records: &records[0], book: &books[0], origin: sown.Start(time.UTC), from: "sowing"}}
	clock := NewClocks(air(warmPlace, 200, func(day float64) float64 { return 21 + 4*math.Sin(2*math.Pi*day) }), places{}).timeline(members)
	b.ReportAllocs()
	for b.Loop() {
		if _, refusal := one(Subject{Scope: ScopePlant, Stage: "red"}, members, members[0], 3, clock); refusal != nil {
			b.Fatal(refusal.Reason)
		}
	}
}
