package storage

import (
	"context"
	"fmt"
	"testing"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// BenchmarkApplyCounts stores 100,000 new counts of 1,000 plants in one batch.
func BenchmarkApplyCounts(b *testing.B) {
	s := openTest(b).Site()
	season := 0
	for b.Loop() {
		b.StopTimer()
		tr := newTrial(s, fmt.Sprint("season ", season), 1000)
		season++
		mustApply(b, s, tr.base())
		visits := tr.visits(s, 100)
		b.StartTimer()
		mustApply(b, s, visits)
	}
	b.ReportMetric(100_000*float64(b.N)/b.Elapsed().Seconds(), "counts/s")
}

// BenchmarkApplySame sends 100,000 counts again that are stored already.
func BenchmarkApplySame(b *testing.B) {
	s := openTest(b).Site()
	tr := newTrial(s, "season", 1000)
	mustApply(b, s, tr.base())
	visits := tr.visits(s, 100)
	mustApply(b, s, visits)
	for b.Loop() {
		mustApply(b, s, visits)
	}
}

// BenchmarkApplyOne stores one count, on the disk before the answer.
func BenchmarkApplyOne(b *testing.B) {
	s := openTest(b).Site()
	tr := newTrial(s, "season", 1000)
	mustApply(b, s, tr.base())
	visits := tr.visits(s, 20)
	mustApply(b, s, visits)
	for b.Loop() {
		v := *visits[0].Record.(*crop.Visit)
		v.ID = s.NewID()
		mustApply(b, s, []crop.Change{{Record: &v, Base: new(int64(0))}})
	}
}

func seasonForBenchmark(b *testing.B) (*DB, *trial) {
	db := openTest(b)
	s := db.Site()
	var tr *trial
	for _, name := range []string{"before", "this", "after"} { // two other seasons lie about it
		next := newTrial(s, name, 1000)
		mustApply(b, s, next.base())
		mustApply(b, s, next.visits(s, 50))
		mustApply(b, s, next.rest(s))
		if name == "this" {
			tr = next
		}
	}
	return db, tr
}

// BenchmarkLoadSeason loads 1,000 plants with 50 counts each, and as many pickings, losses and diary entries as plants.
func BenchmarkLoadSeason(b *testing.B) {
	db, tr := seasonForBenchmark(b)
	for b.Loop() {
		got, err := db.Site().LoadSeason(context.Background(), tr.season.ID, Selection{Temperatures: true})
		if err != nil || len(got.Visits) != 50_000 {
			b.Fatalf("%v", err)
		}
	}
}

// BenchmarkLoadPlant loads one plant of that season.
func BenchmarkLoadPlant(b *testing.B) {
	db, tr := seasonForBenchmark(b)
	for b.Loop() {
		got, err := db.Site().LoadPlant(context.Background(), tr.plants[500].ID, Selection{Temperatures: true})
		if err != nil || len(got.Visits) != 50 {
			b.Fatalf("%v", err)
		}
	}
}

// BenchmarkFindSeason loads the same plants and counts through gorm's Find, for comparison: the plants in one query and
// their counts in batches of ids, as Preload does.
func BenchmarkFindSeason(b *testing.B) {
	db, tr := seasonForBenchmark(b)
	for b.Loop() {
		visits := 0
		err := db.reader.Transaction(func(tx *gorm.DB) error {
			var plants []plantRow
			if err := tx.Where("site_id = 1 AND season_id = ?", key(tr.season.ID)).Find(&plants).Error; err != nil {
				return err
			}
			ids := make([]key, len(plants))
			for i := range plants {
				ids[i] = plants[i].RowBase.ID
			}
			for len(ids) > 0 {
				n := min(chunk, len(ids))
				var found []visitRow
				if err := tx.Where("site_id = 1 AND plant_id IN ?", ids[:n]).Find(&found).Error; err != nil {
					return err
				}
				for i := range found {
					if _, err := found[i].visit(); err != nil {
						return err
					}
				}
				visits += len(found)
				ids = ids[n:]
			}
			return nil
		})
		if err != nil || visits != 50_000 {
			b.Fatalf("%d visits, %v", visits, err)
		}
	}
}

// BenchmarkList reads a page of 100 counts of a season.
func BenchmarkList(b *testing.B) {
	db, tr := seasonForBenchmark(b)
	for b.Loop() {
		page, err := db.Site().List(context.Background(), crop.Visits, crop.Filter{SeasonID: &tr.season.ID})
		if err != nil || len(page.Items) != 100 {
			b.Fatalf("%v", err)
		}
	}
}
