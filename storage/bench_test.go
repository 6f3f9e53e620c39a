package storage

import (
	"context"
	"fmt"
	"runtime"
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

// BenchmarkApplyTogether stores counts of 32 writers at once, each on the disk before its answer.
func BenchmarkApplyTogether(b *testing.B) {
	s := openTest(b).Site()
	tr := newTrial(s, "season", 1000)
	mustApply(b, s, tr.base())
	first := tr.visits(s, 1)[0].Record.(*crop.Visit)
	b.SetParallelism((32 + runtime.GOMAXPROCS(0) - 1) / runtime.GOMAXPROCS(0))
	b.RunParallel(func(pb *testing.PB) {
		for pb.Next() {
			v := *first
			v.ID = s.NewID()
			if _, err := s.Apply(context.Background(), []crop.Change{{Record: &v, Base: new(int64(0))}}, crop.ApplyOptions{}); err != nil {
				b.Error(err)
			}
		}
	})
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "counts/s")
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

// BenchmarkLoadSeason loads 1,000 plants with 50 counts each, and as many pickings, losses and diary entries as plants: cold,
// with nothing of it in the program's memory, and with the counts kept from an earlier load. The file's pages are in the
// memory of the system.
func BenchmarkLoadSeason(b *testing.B) {
	db, tr := seasonForBenchmark(b)
	for _, name := range []string{"cold", "kept"} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if name == "cold" {
					db.kept.seasons = nil
				}
				got, err := db.Site().LoadSeason(context.Background(), tr.season.ID, Selection{Temperatures: true})
				if err != nil || len(got.Visits) != 50_000 {
					b.Fatalf("%v", err)
				}
			}
		})
	}
}

// BenchmarkLoadPlant loads one plant of that season.
func BenchmarkLoadPlant(b *testing.B) {
	db, tr := seasonForBenchmark(b)
	b.ReportAllocs()
	for b.Loop() {
		got, err := db.Site().LoadPlant(context.Background(), tr.plants[500].ID, Selection{Temperatures: true})
		if err != nil || len(got.Visits) != 50 {
			b.Fatalf("%v", err)
		}
	}
}

// foundPlant and foundSeason are what gorm is asked for: a season whose plants come with all that was recorded of them.
type foundPlant struct {
	SiteID     int64
	ID         key
	SeasonID   key
	PlaceID    key
	CultivarID key
	Label      string
	Moves      []moveRow    `gorm:"foreignKey:PlantID;references:ID"`
	Visits     []visitRow   `gorm:"foreignKey:PlantID;references:ID"`
	Pickings   []pickingRow `gorm:"foreignKey:PlantID;references:ID"`
	Losses     []lossRow    `gorm:"foreignKey:PlantID;references:ID"`
	Diary      []diaryRow   `gorm:"foreignKey:PlantID;references:ID"`
}

func (foundPlant) TableName() string { return "plants" }

var associations = []string{"Moves", "Visits", "Pickings", "Losses", "Diary"}

// BenchmarkFindSeason loads the same plants with what was recorded of them through gorm alone, for comparison with
// BenchmarkLoadSeason: all plants by one Find with their associations preloaded, which takes a query for each association;
// plant by plant, each by a First with its associations preloaded; and count by count, each by a First with its plant, and
// none of the rest. Readings, the season and what it names are left out, and nothing is put in order.
func BenchmarkFindSeason(b *testing.B) {
	db, tr := seasonForBenchmark(b)
	preload := func(tx *gorm.DB) *gorm.DB {
		for _, name := range associations {
			tx = tx.Preload(name, "site_id = 1")
		}
		return tx
	}
	for _, c := range []struct {
		name string
		find func(tx *gorm.DB) ([]foundPlant, error)
	}{
		{"preload", func(tx *gorm.DB) (plants []foundPlant, err error) {
			err = preload(tx).Where("site_id = 1 AND season_id = ?", key(tr.season.ID)).Find(&plants).Error
			return plants, err
		}},
		{"plant by plant", func(tx *gorm.DB) ([]foundPlant, error) {
			plants := make([]foundPlant, len(tr.plants))
			for i, p := range tr.plants {
				if err := preload(tx).Where("site_id = 1 AND id = ?", key(p.ID)).First(&plants[i]).Error; err != nil {
					return nil, err
				}
			}
			return plants, nil
		}},
		{"count by count", func(tx *gorm.DB) ([]foundPlant, error) {
			var ids []key
			if err := tx.Raw("SELECT e.id FROM "+visitsOf, key(tr.season.ID)).Scan(&ids).Error; err != nil {
				return nil, err
			}
			all := foundPlant{}
			for _, id := range ids {
				var v visitRow
				if err := tx.Where("site_id = 1 AND id = ?", id).First(&v).Error; err != nil {
					return nil, err
				}
				var p plantRow
				if err := tx.Where("site_id = 1 AND id = ?", v.PlantID).First(&p).Error; err != nil {
					return nil, err
				}
				all.Visits = append(all.Visits, v)
			}
			return []foundPlant{all}, nil
		}},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				visits := 0
				err := db.reader.Transaction(func(tx *gorm.DB) error {
					plants, err := c.find(tx)
					for i := range plants {
						for j := range plants[i].Visits {
							if _, err := plants[i].Visits[j].visit(); err != nil {
								return err
							}
						}
						visits += len(plants[i].Visits)
					}
					return err
				})
				if err != nil || visits != 50_000 {
					b.Fatalf("%d visits, %v", visits, err)
				}
			}
		})
	}
}

const visitsOf = `plants AS p CROSS JOIN visits AS e ON e.site_id = p.site_id AND e.plant_id = p.id WHERE p.site_id = 1 AND p.season_id = ?`

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
