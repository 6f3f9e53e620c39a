package csvfile

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// null keeps nothing but what others refer to, so that the time is the import's own.
type null struct {
	Session
	added *int
}

func (n null) Add(_ context.Context, _ crop.Kind, records []crop.Record) error {
	*n.added += len(records)
	return nil
}

// manyCounts is a season of plants with visits each, by local time.
func manyCounts(plants, visits int) files {
	var p, c strings.Builder
	p.WriteString("season,place,cultivar,plant,sown_on\n")
	c.WriteString("season,plant,counted_at,green,breaker,turning,red,observer,note\n")
	for i := range plants {
		fmt.Fprintf(&p, "2026,bench,Amberlin,P%d,2026-01-01\n", i)
	}
	day := time.Date(2026, 1, 10, 8, 0, 0, 0, time.UTC)
	for v := range visits {
		for i := range plants {
			at := day.Add(time.Duration(v)*24*time.Hour + time.Duration(i)*time.Second)
			fmt.Fprintf(&c, "2026,P%d,%s,%d,%d,,%d,Inés,\n", i, at.Format("2006-01-02T15:04:05"), i%40, v%7, i%5)
		}
	}
	return files{"places.csv": "place,time_zone\nbench,Europe/Berlin\n", "plants.csv": p.String(), "counts.csv": c.String()}
}

func BenchmarkImport100kCounts(b *testing.B) {
	sources := manyCounts(1000, 100).sources()
	b.ReportAllocs()
	for b.Loop() {
		added := 0
		store := newMemory()
		store.wrap = func(s Session) Session { return null{s, &added} }
		if _, err := Import(b.Context(), store, sources, options()); err != nil {
			b.Fatal(err)
		}
		if added != 100_000 {
			b.Fatalf("got %d counts", added)
		}
	}
}

// holding is a store that holds one loaded season.
type holding struct {
	*memory
	catalogue *crop.Catalogue
	trial     *crop.Trial
}

func (h holding) Catalogue(context.Context) (*crop.Catalogue, error)   { return h.catalogue, nil }
func (h holding) Season(context.Context, crop.ID) (*crop.Trial, error) { return h.trial, nil }
func (h holding) Temperatures(context.Context, crop.ID, time.Time, time.Time) ([]crop.Temperature, error) {
	return nil, nil
}

func held(b *testing.B, in files) holding {
	b.Helper()
	m := newMemory()
	mustImport(b, m, in, options())
	c, err := m.Catalogue(b.Context())
	if err != nil {
		b.Fatal(err)
	}
	trial, err := m.Season(b.Context(), c.Seasons[0].ID)
	if err != nil {
		b.Fatal(err)
	}
	return holding{m, c, trial}
}

func BenchmarkExport100kCounts(b *testing.B) {
	store := held(b, manyCounts(1000, 100))
	dir := b.TempDir()
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		n++
		if _, err := Export(b.Context(), store, filepath.Join(dir, fmt.Sprint(n))); err != nil {
			b.Fatal(err)
		}
	}
}

// The second import of the same file compares every row with the stored one.
func BenchmarkImport100kCountsAgain(b *testing.B) {
	store := openSite(b)
	sources := manyCounts(1000, 100).sources()
	if _, err := Import(b.Context(), store, sources, options()); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		s, err := Import(b.Context(), store, sources, options())
		if err != nil || s.Changed() != 0 {
			b.Fatalf("got %v, %s", err, s)
		}
	}
}

// BenchmarkImport100kCountsIntoStore is the whole import, the disk included.
func BenchmarkImport100kCountsIntoStore(b *testing.B) {
	sources := manyCounts(1000, 100).sources()
	b.ReportAllocs()
	for b.Loop() {
		b.StopTimer()
		store := openSite(b)
		b.StartTimer()
		if _, err := Import(b.Context(), store, sources, options()); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(100_000*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
}
