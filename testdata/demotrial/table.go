package demotrial

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
	"time"
)

// The files of the trial.
const (
	seasonsFile  = "seasons.csv"
	placesFile   = "places.csv"
	scalesFile   = "scales.csv"
	cultivarFile = "cultivars.csv"
	plantsFile   = "plants.csv"
	movesFile    = "moves.csv"
	counts       = "counts.csv"
	pickings     = "pickings.csv"
	losses       = "losses.csv"
	temperatures = "temperatures.csv"
	diary        = "diary.csv"
	germination  = "germination.csv"
)

var headers = map[string][]string{
	seasonsFile:  {"season", "first_day", "last_day"},
	placesFile:   {"place", "time_zone"},
	scalesFile:   {"scale", "position", "stage", "ripe", "description"},
	cultivarFile: {"cultivar", "scale", "hold_days", "note"},
	plantsFile:   {"season", "place", "cultivar", "plant", "sown_on", "transplanted_on", "removed_on", "origin", "note"},
	movesFile:    {"season", "plant", "place", "moved_on"},
	counts:       {"season", "plant", "counted_at", "green", "breaker", "turning", "red", "orange", "trusses_counted", "trusses_total", "at_least", "observer", "note"},
	pickings:     {"season", "plant", "picked_at", "stage", "fruits", "mass_g", "weighing", "grade", "brix", "taste", "note"},
	losses:       {"season", "plant", "lost_at", "stage", "fruits", "cause", "note"},
	temperatures: {"place", "measured_at", "air_c"},
	diary:        {"season", "plant", "noted_at", "kind", "ec_ds_m", "ph", "solution_c", "note"},
	germination:  {"season", "cultivar", "lot", "sown_on", "seeds", "counted_on", "emerged"},
}

// row is one line of a file before it is written, sorted by key, then moment,
// then tie.
type row struct {
	key   string
	at    time.Time
	tie   string
	cells map[string]string
	// mistake, where the row is the place to find one.
	mistake *Mistake
}

// book is everything that was written down.
type book struct{ tables map[string][]row }

func newBook() *book { return &book{tables: map[string][]row{}} }

func (b *book) add(table string, r row) { b.tables[table] = append(b.tables[table], r) }

// encode returns a table as RFC 4180 CSV: CRLF line ends, UTF-8, a header line,
// rows in order of their keys.
func (b *book) encode(table string) []byte {
	rows := slices.Clone(b.tables[table])
	slices.SortStableFunc(rows, func(x, y row) int {
		if c := strings.Compare(x.key, y.key); c != 0 {
			return c
		}
		if c := x.at.Compare(y.at); c != 0 {
			return c
		}
		return strings.Compare(x.tie, y.tie)
	})
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.UseCRLF = true
	header := headers[table]
	write := func(record []string) {
		if err := w.Write(record); err != nil {
			panic(fmt.Sprintf("demotrial: %s: %v", table, err))
		}
	}
	write(header)
	for _, r := range rows {
		record := make([]string, len(header))
		for i, name := range header {
			record[i] = r.cells[name]
		}
		for name := range r.cells {
			if !slices.Contains(header, name) {
				panic(fmt.Sprintf("demotrial: %s has no column %s", table, name))
			}
		}
		write(record)
	}
	w.Flush()
	if err := w.Error(); err != nil {
		panic(fmt.Sprintf("demotrial: %s: %v", table, err))
	}
	setLines(out.Bytes(), rows)
	return out.Bytes()
}

// setLines tells each mistake the line on which its row begins.
func setLines(file []byte, rows []row) {
	r := csv.NewReader(bytes.NewReader(file))
	for i := -1; i < len(rows); i++ {
		if _, err := r.Read(); err != nil {
			panic(fmt.Sprintf("demotrial: reading back: %v", err))
		}
		if i >= 0 && rows[i].mistake != nil {
			rows[i].mistake.Line, _ = r.FieldPos(0)
		}
	}
}
