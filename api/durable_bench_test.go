//go:build cgo && unix

package api

import (
	"context"
	"database/sql"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"runtime"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/gin-gonic/gin"
	_ "github.com/mattn/go-sqlite3" // the driver that storage uses with cgo

	"vinetally/analytics/crop"
	"vinetally/storage"
)

const benchPlants = 1000

// benchTrial is a database file with a season of a thousand plants.
type benchTrial struct {
	path   string
	client *client
	plants []string
}

func newBenchTrial(b *testing.B) *benchTrial {
	b.Helper()
	path := filepath.Join(b.TempDir(), "bench.db")
	db, err := storage.Open(context.Background(), path, storage.Options{})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { db.Close() })
	handler := New(Config{Store: site{db.Site()}, Logger: slog.New(slog.DiscardHandler), Hosts: testHosts})
	t := &benchTrial{path: path, client: &client{b, undocumented{handler}}}
	lab := newTrial(t.client)
	var items []string
	for i := range benchPlants {
		id := madeID(i + 1)
		t.plants = append(t.plants, id)
		items = append(items, lab.fill(fmt.Sprintf(`{"kind": "plants", "record": {"id": %q, "season_id": "SEASON", "place_id": "PLACE", "cultivar_id": "CULTIVAR", "label": "P%d", "sown_on": "2025-10-01"}}`, id, i)))
	}
	t.client.want(200, "POST", "/v1/sync", syncBody(items...))
	return t
}

// visit is the n-th visit of the trial: plant by plant, day by day.
func (t *benchTrial) visit(n int) string {
	at := time.Date(2025, 12, 1, 8, 0, 0, 0, time.UTC).Add(time.Duration(n/len(t.plants)) * time.Hour)
	return fmt.Sprintf(`{"plant_id": %q, "counted_at": %q, "counts": {"green": 12, "breaker": 3, "turning": 1, "red": 2}, "observer": "Ana", "note": ""}`,
		t.plants[n%len(t.plants)], at.Format(time.RFC3339))
}

// BenchmarkPostDurable posts one visit at a time and waits until it is on the disk, through this API and through a bare gin
// handler that does the same INSERT with the same settings into the same table; 1 and 32 clients.
func BenchmarkPostDurable(b *testing.B) {
	for _, clients := range []int{1, 32} {
		for _, bare := range []bool{true, false} {
			name := fmt.Sprintf("clients=%d/rest", clients)
			if bare {
				name = fmt.Sprintf("clients=%d/bare", clients)
			}
			b.Run(name, func(b *testing.B) {
				t := newBenchTrial(b)
				handler := t.client.handler
				if bare {
					handler = bareHandler(b, t.path)
				}
				postAll(b, t, handler, clients)
			})
		}
	}
}

func postAll(b *testing.B, t *benchTrial, handler http.Handler, clients int) {
	srv := httptest.NewServer(handler)
	defer srv.Close()
	transport := &http.Transport{MaxIdleConnsPerHost: clients}
	defer transport.CloseIdleConnections()
	c := &http.Client{Transport: transport}
	var n atomic.Int64
	began := processorTime(b)
	defer func() { b.ReportMetric(float64(processorTime(b)-began)/float64(b.N), "cpu-ns/op") }()
	b.SetParallelism((clients + runtime.GOMAXPROCS(0) - 1) / runtime.GOMAXPROCS(0))
	b.ResetTimer()
	post := func() bool {
		r, err := c.Post(srv.URL+"/v1/counts", "application/json", strings.NewReader(t.visit(int(n.Add(1)))))
		if err != nil {
			b.Error(err)
			return false
		}
		_, err = io.Copy(io.Discard, r.Body) // or the connection can't be used again
		r.Body.Close()
		if err != nil || r.StatusCode != http.StatusCreated {
			b.Errorf("status %d, %v", r.StatusCode, err)
			return false
		}
		return true
	}
	if clients == 1 {
		for b.Loop() {
			if !post() {
				return
			}
		}
		return
	}
	b.RunParallel(func(pb *testing.PB) {
		for pb.Next() {
			if !post() {
				return
			}
		}
	})
}

// processorTime is what the program has taken so far, clients included. The disk and other programs matter less to it than to
// the time on the clock.
func processorTime(b *testing.B) time.Duration {
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		b.Fatal(err)
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}

// bareHandler decodes the body, inserts it and answers the record, and nothing else.
func bareHandler(b *testing.B, path string) http.Handler {
	db, err := sql.Open("sqlite3", "file:"+path+"?_busy_timeout=10000&_journal_mode=WAL&_synchronous=FULL&_foreign_keys=on&_txlock=immediate&_cache_size=-16384")
	if err != nil {
		b.Fatal(err)
	}
	db.SetMaxOpenConns(1)
	b.Cleanup(func() { db.Close() })
	insert, err := db.Prepare(`INSERT INTO visits (site_id, id, version, recorded_at, actor, plant_id, counted_at, counts, at_least, about, observer, note)
		VALUES (1, ?, 1, ?, 'bare', ?, ?, ?, 0, 0, ?, ?)`)
	if err != nil {
		b.Fatal(err)
	}
	var last atomic.Uint64
	gin.SetMode(gin.ReleaseMode)
	engine := gin.New()
	engine.POST("/v1/counts", func(c *gin.Context) {
		var v struct {
			ID        string         `json:"id"`
			PlantID   string         `json:"plant_id"`
			CountedAt time.Time      `json:"counted_at"`
			Counts    map[string]int `json:"counts"`
			Observer  string         `json:"observer"`
			Note      string         `json:"note"`
			Version   int            `json:"version"`
			Recorded  time.Time      `json:"recorded_at"`
			By        string         `json:"recorded_by"`
		}
		if err := c.ShouldBindJSON(&v); err != nil {
			c.JSON(http.StatusBadRequest, err.Error())
			return
		}
		plant, err := crop.ParseID(v.PlantID)
		counts, _ := marshal(v.Counts)
		id := crop.ID{6: 0x70, 8: 0x80, 9: 1}
		for i, n := 0, last.Add(1); i < 5; i++ {
			id[15-i] = byte(n >> (8 * i))
		}
		v.ID, v.Version, v.Recorded, v.By = id.String(), 1, time.Now().UTC(), "bare"
		if err == nil {
			_, err = insert.ExecContext(c.Request.Context(), id[:], v.Recorded.UnixMilli(), plant[:], v.CountedAt.UnixMilli(), string(counts), v.Observer, v.Note)
		}
		if err != nil {
			c.JSON(http.StatusInternalServerError, err.Error())
			return
		}
		c.JSON(http.StatusCreated, v)
	})
	return engine
}

// BenchmarkSync sends 1,000 new visits of 1,000 plants in one request.
func BenchmarkSync(b *testing.B) {
	t := newBenchTrial(b)
	n := 0
	b.ReportAllocs()
	for b.Loop() {
		b.StopTimer()
		items := make([]string, 1000)
		for i := range items {
			n++
			items[i] = fmt.Sprintf(`{"kind": "counts", "id": %q, "record": %s}`, madeID(1_000_000+n), t.visit(n))
		}
		body := syncBody(items...)
		b.StartTimer()
		t.client.want(200, "POST", "/v1/sync", body)
	}
}

// BenchmarkBulk sends 100,000 new readings in one request.
func BenchmarkBulk(b *testing.B) {
	for _, media := range []string{mediaCSV, mediaJSON} {
		b.Run(media, func(b *testing.B) {
			body := readings(mostReadings)
			if media == mediaJSON {
				var rows []string
				for _, line := range strings.Split(strings.TrimSpace(body), "\n")[1:] {
					cells := strings.Split(line, ",")
					rows = append(rows, fmt.Sprintf(`{"place": %q, "measured_at": %q, "air_c": %s}`, cells[0], cells[1], cells[2]))
				}
				body = "[" + strings.Join(rows, ",") + "]"
			}
			b.ReportAllocs()
			b.SetBytes(int64(len(body)))
			for b.Loop() {
				b.StopTimer()
				c := testClient(b)
				c.add(crop.Places, `{"name": "bay"}`)
				b.StartTimer()
				c.bulk(200, media, "", body)
			}
			b.ReportMetric(mostReadings, "readings/op")
		})
	}
}
