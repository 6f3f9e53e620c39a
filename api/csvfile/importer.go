package csvfile

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"vinetally/analytics/crop"
)

// Options go with an import.
type Options struct {
	// Replace lets a row with other contents take the place of the stored record, which stays in its history.
	Replace bool
	// DryRun reads and checks everything and stores nothing.
	DryRun bool
	Actor  string
	// Now is the present, which no record may be after; the zero Time is the clock's.
	Now time.Time
	// Progress, if not nil, is called now and then.
	Progress func(Progress)
}

// Progress says how far an import is.
type Progress struct {
	File string // being read
	Rows int    // of the file so far
	Read int64  // bytes of the file so far
	Size int64  // bytes of the file, 0 if not known
	// Before and Total are the bytes of the files read before this one and of all; Total is 0 if not known.
	Before, Total int64
}

const (
	progressEvery = 10_000  // rows
	maxKept       = 100_000 // texts
)

// Import reads the sources and stores their records in one transaction of the store, all or nothing. Faults in the files
// come back as a *FaultError, with nothing stored. Counts, pickings, losses, temperatures, diary and germination may be of
// any length: they are handed to the session as they are read, and what is held in memory doesn't grow with them. A file
// with rows that may stand twice is opened and read again, and so are all if others change meanwhile what the rows rest on.
func Import(ctx context.Context, store Store, sources []Source, opts Options) (Summary, error) {
	for _, s := range sources {
		if s.kind() == "" {
			return Summary{}, fmt.Errorf("%s: the name doesn't say what is in it; call it one of %s", s.Name, known())
		}
	}
	var im *importer
	err := store.Session(ctx, crop.ApplyOptions{Actor: opts.Actor, DryRun: opts.DryRun}, func(s Session) error {
		im = &importer{ctx: ctx, store: store, session: s, sources: sources, opts: opts, kept: map[string]string{}}
		if im.now = opts.Now; im.now.IsZero() {
			im.now = time.Now()
		}
		return im.run()
	})
	if err != nil {
		return Summary{}, err
	}
	return im.summary, nil
}

// importer is one import.
type importer struct {
	ctx     context.Context
	store   Store
	session Session
	sources []Source
	opts    Options
	now     time.Time

	catalogue *crop.Catalogue
	registry  *registry
	byName    names
	kinds     recordKinds
	broken    map[string]bool // kinds of file that could not be read to the end
	faults    faultList
	err       error  // what stops the import and is no fault of the files
	seen      *seen  // keys and ids of the kind that is being read
	again     bool   // a file is read again, and nothing said or done about its rows
	header    rowRef // of the file that is being read
	// onlyStored refuses names of what isn't stored instead of making it.
	onlyStored bool

	changes []crop.Change // to be handed to the session
	rows    []rowRef      // of each change; what was made because a row named it has that row
	summary Summary
	tallies map[int32]*FileSummary
	taken   map[crop.ID]bool // plants in summary.Taken
	kept    map[string]string
	read    int64 // bytes of the sources read so far
	total   int64 // of all, 0 if not known
}

func (im *importer) run() error {
	var err error
	if im.catalogue, err = im.session.Catalogue(im.ctx); err != nil {
		return fmt.Errorf("read what is stored: %w", err)
	}
	im.registry = newRegistry(im.catalogue)
	im.broken = map[string]bool{}
	im.tallies = map[int32]*FileSummary{}
	im.taken = map[crop.ID]bool{}
	im.total = totalSize(im.sources)
	im.seen = newSeen(im.total)
	im.setUp()
	for _, file := range Files() {
		im.readKind(file)
		if im.err != nil {
			return im.err
		}
	}
	if err := im.faults.err(); err != nil {
		return err
	}
	im.summarise()
	return nil
}

// totalSize is the size of all sources together, 0 if one doesn't say.
func totalSize(sources []Source) (total int64) {
	for _, s := range sources {
		if s.Size == 0 {
			return 0
		}
		total += s.Size
	}
	return total
}

// summarise takes the counts of rows over, in the order in which the files were read.
func (im *importer) summarise() {
	im.summary.DryRun = im.opts.DryRun
	for _, file := range Files() {
		for i := range im.sources {
			if im.sources[i].kind() == file {
				im.summary.Files = append(im.summary.Files, *im.tallies[int32(i)])
			}
		}
	}
}

// readKind reads all sources of one file name, and does what must wait until all of them are read.
func (im *importer) readKind(file string) {
	for i := range im.sources {
		if im.sources[i].kind() == file && !im.stopped() {
			im.tallies[int32(i)] = &FileSummary{File: im.sources[i].Name}
			im.readSource(int32(i), file)
			im.read += im.sources[i].Size
		}
	}
	if im.err == nil {
		im.finishKind(file)
	}
}

func (im *importer) stopped() bool { return im.err != nil || !im.again && im.faults.full() }

// apply hands the changes so far to the session, unless nothing will be stored anyway.
func (im *importer) apply() {
	if im.err == nil && im.faults.none() && len(im.changes) > 0 {
		im.told(im.session.Apply(im.ctx, im.changes), func(item int) (crop.Record, rowRef) { return im.changes[item].Record, im.rows[item] }, len(im.changes))
	}
	clear(im.changes)
	im.changes, im.rows = im.changes[:0], im.rows[:0]
}

// readTable reads one source row by row.
func readTable[T any](im *importer, source int32, t *table[T], lenient bool, take func(c *cell, h *header, cells []string)) {
	src := &im.sources[source]
	file, err := src.Open()
	if err != nil {
		im.err = fmt.Errorf("open %s: %w", src.Name, err)
		return
	}
	defer file.Close()
	wholeFile := rowRef{source, 1}
	reader, problem, err := newRowReader(im.ctx, file)
	if err != nil {
		im.err = fmt.Errorf("read %s: %w", src.Name, err)
		return
	}
	if problem != "" {
		im.broken[t.file] = true
		im.fault(wholeFile, "", "%s", problem)
		return
	}
	c := &cell{im: im}
	var h *header
	for tally := im.tallies[source]; !im.stopped(); {
		problem, err := reader.next()
		switch {
		case errors.Is(err, io.EOF):
			if h == nil {
				im.broken[t.file] = true
				im.fault(wholeFile, "", "is empty; the first line names the columns")
			}
			im.progress(src, tally.Rows, reader)
			return
		case errors.Is(err, errRowTooLong):
			problem = err.Error()
			reader.line++
		case err != nil:
			im.err = fmt.Errorf("read %s: %w", src.Name, err)
			return
		}
		at := rowRef{source, int32(reader.line)}
		if problem != "" {
			im.broken[t.file] = true
			im.fault(at, "", "%s", problem)
			return
		}
		if h == nil {
			im.header = at
			h = t.bind(reader.cells, lenient, func(column, what string) { im.fault(at, column, "%s", what) })
			if h.unusable {
				im.broken[t.file] = true
				return
			}
			continue
		}
		if tally.Rows++; tally.Rows%progressEvery == 0 {
			im.progress(src, tally.Rows, reader)
		}
		if len(reader.cells) != h.width {
			im.fault(at, "", "has %s where the header has %d; mend the separators, or quote a cell that contains one",
				plural(len(reader.cells), "cell"), h.width)
			continue
		}
		for _, i := range h.nameless {
			if crop.Name(reader.cells[i]) != "" {
				im.fault(at, "", "has %s in column %d, which has no name; name the column in the first line, or empty it", shown(reader.cells[i]), i+1)
			}
		}
		*c = cell{im: im, at: at}
		take(c, h, reader.cells)
	}
}

func (im *importer) progress(src *Source, rows int, r *rowReader) {
	if im.opts.Progress != nil && !im.again {
		im.opts.Progress(Progress{File: src.Name, Rows: rows, Read: r.input.read, Size: src.Size, Before: im.read, Total: im.total})
	}
}

func (im *importer) fault(at rowRef, column, format string, args ...any) {
	if im.again {
		return
	}
	im.faults.add(at, im.sources[at.source].Name, column, fmt.Sprintf(format, args...))
}

// where says where another row stands, seen from row.
func (im *importer) where(other, row rowRef) string {
	if other.source == row.source {
		return fmt.Sprintf("line %d", other.line)
	}
	return fmt.Sprintf("%s:%d", im.sources[other.source].Name, other.line)
}

// keep returns a copy of s that doesn't hold on to the row it was read from. Short texts come again and again, so there
// is one copy of each.
func (im *importer) keep(s string) string {
	if s == "" {
		return ""
	}
	if kept, ok := im.kept[s]; ok {
		return kept
	}
	s = strings.Clone(s)
	if len(s) <= 64 {
		if len(im.kept) >= maxKept {
			clear(im.kept) // a column of texts that are all different gains nothing from being remembered
		}
		im.kept[s] = s
	}
	return s
}
