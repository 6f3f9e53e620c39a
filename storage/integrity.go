package storage

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"time"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// CheckOptions of Check; the zero value checks all but the ledgers.
type CheckOptions struct {
	// Plant is called for every plant with what its ledger rests on, and returns what doesn't add up.
	Plant func(t *crop.Trial, plant crop.ID) []string
}

// Checked is what Check looked at and what it found.
type Checked struct {
	Path  string
	Pages int64 // of the database, in use or free
	// Version is that of the file's tables, Newest that of this program's. Of an older file only SQLite's own checks are made.
	Version, Newest int64
	Change          int64 // the site's change number
	Kinds           []KindChecked
	Earlier         int // versions in the history, deletions included
	Plants          int // whose records were handed to CheckOptions.Plant
	Damage          []Damage
	Untold          int // damage beyond what Damage holds
}

// KindChecked is how many records of a kind were checked.
type KindChecked struct {
	Kind    crop.Kind
	Records int
	Words   string // such as "3 plants"
}

// Records is how many records were checked.
func (c *Checked) Records() (n int) {
	for _, k := range c.Kinds {
		n += k.Records
	}
	return n
}

// Older tells that the file's tables are of an older version, so that most couldn't be checked.
func (c *Checked) Older() bool { return c.Version < c.Newest }

// Sound tells that nothing is wrong, as far as was checked.
func (c *Checked) Sound() bool { return len(c.Damage) == 0 }

// Damage is one thing that is wrong with a database.
type Damage struct {
	Kind   crop.Kind // of the record, empty where it isn't one record
	ID     crop.ID
	Record string // in words, as a person can find it
	What   string
	Mend   string
}

// String says what is wrong, of what, and how to mend it.
func (d Damage) String() string {
	if d.Record == "" {
		return d.What + "; " + d.Mend
	}
	return fmt.Sprintf("%s (%s %s): %s; %s", d.Record, d.Kind, d.ID, d.What, d.Mend)
}

// mostDamage is how many things that are wrong are told; the rest is counted.
const mostDamage = 200

// The ways to mend.
const (
	mendFile    = "restore the file from a backup"
	mendRecord  = "compare it with your notes or a backup; change the record and save it, or restore the backup"
	mendHistory = "the record itself isn't touched by it; restore a backup if you need its earlier versions"
	mendRule    = "correct the record"
)

// Check looks through a whole database over a connection that can't write, from one state of it, whatever is written
// meanwhile: SQLite's own checks of its pages, indexes and foreign keys; the tables against those that the migrations make;
// the digest of every version; every record's chain of versions from 1 to the current one; the rules of every record; how
// many records there are; the change number; and through CheckOptions.Plant the ledgers. Memory doesn't grow with the records. It is an error only if
// the database can't be read at all; what is wrong with it is in the answer.
func Check(ctx context.Context, dsn string, o CheckOptions) (*Checked, error) {
	path, err := file(dsn)
	if err != nil {
		return nil, fmt.Errorf("check database: %w", err)
	}
	if err := mustExist(path); err != nil {
		return nil, err
	}
	checked, err := check(ctx, path, o)
	if err != nil {
		return nil, fmt.Errorf("check database %s: %w", path, translate(ctx, err))
	}
	return checked, nil
}

func check(ctx context.Context, path string, o CheckOptions) (*Checked, error) {
	var checked *Checked
	err := untouched(path, func(setting string) (err error) {
		checked, err = checkOver(ctx, path, readerQuery(checkWait)+setting, o)
		return err
	})
	return checked, err
}

// untouched calls f, which is to read a database over a connection with one more setting, so that nothing is left beside
// it. A closed database is one file, and a connection that can't write would leave a log and an index of the log behind;
// so it is read as a file that can't change. If somebody opened it meanwhile, what f read may be of no one state, and f
// is called again for one that is open.
func untouched(path string, f func(setting string) error) error {
	before, closed, err := lookAt(path)
	if err != nil {
		return err
	}
	if closed {
		done := f("&immutable=1")
		after, still, err := lookAt(path)
		if err != nil {
			return err
		}
		if still && after == before {
			return done
		}
	}
	return f("")
}

// mustExist refuses what isn't there; everything else than check makes a new database there.
func mustExist(path string) error {
	info, err := os.Stat(path)
	if errors.Is(err, os.ErrNotExist) || err == nil && info.Mode().IsRegular() && info.Size() == 0 {
		return fmt.Errorf("%w: there is none at %s; name the right file with --db sqlite:FILE", ErrMissing, path)
	}
	if err := inspect(path); err != nil {
		return fmt.Errorf("open database: %w", err)
	}
	return nil
}

// checkWait is how long, in milliseconds, reading waits where a program that ended badly left its log to be cleared up.
const checkWait = 10_000

// look is what tells that a file was written.
type look struct {
	size int64
	at   time.Time
}

// lookAt tells whether a database is closed: whoever has it open has a log beside it.
func lookAt(path string) (l look, closed bool, err error) {
	_, err = os.Stat(path + "-wal")
	closed = errors.Is(err, os.ErrNotExist)
	info, err := os.Stat(path)
	if err != nil {
		return look{}, false, err
	}
	return look{info.Size(), info.ModTime()}, closed, nil
}

func checkOver(ctx context.Context, path, query string, o CheckOptions) (*Checked, error) {
	pool, err := sql.Open(driverName, uri(path, query))
	if err != nil {
		return nil, err
	}
	defer pool.Close()
	pool.SetMaxOpenConns(1)
	tx, err := pool.BeginTx(ctx, nil)
	if err != nil {
		return nil, err
	}
	defer func() { _ = tx.Rollback() }() // nothing was written
	version, newest, err := examine(ctx, pool, tx)
	if err != nil {
		return nil, err
	}
	expected, err := newSchema()
	if err != nil {
		return nil, err
	}
	c := &checker{ctx: ctx, q: tx, o: o, checked: &Checked{Path: path, Version: version, Newest: newest}, expected: expected, told: map[string]bool{}}
	return c.checked, c.run()
}

// checker is one Check under way.
type checker struct {
	ctx      context.Context
	q        gorm.ConnPool
	o        CheckOptions
	checked  *Checked
	expected definitions
	digests  digester
	told     map[string]bool // what was told already of no record
}

// run makes every check, also after one that couldn't be made to its end.
func (c *checker) run() error {
	steps := []func() error{c.pages, c.foreignKeys}
	if !c.checked.Older() {
		steps = append(steps, c.schema, c.sites)
	}
	for _, step := range steps {
		if err := c.unreadable("the database", step()); err != nil {
			return err
		}
	}
	return nil
}

// unreadable notes an error as damage, unless the caller gave up.
func (c *checker) unreadable(what string, err error) error {
	if err == nil {
		return nil
	}
	if c.ctx.Err() != nil {
		return c.ctx.Err()
	}
	if code, ok := resultCode(err); ok {
		switch code & 0xff {
		case codeFull, codeBusy, codeLocked, codePerm, codeCantOpen: // of the machine, not of the database
			return err
		}
	}
	c.add(Damage{What: fmt.Sprintf("%s can't be read to the end: %v", what, err), Mend: mendFile})
	return nil
}

func (c *checker) add(d Damage) {
	if d.Record == "" && c.told[d.What] {
		return
	}
	if len(c.checked.Damage) >= mostDamage {
		c.checked.Untold++
		return
	}
	if d.Record == "" {
		c.told[d.What] = true
	}
	c.checked.Damage = append(c.checked.Damage, d)
}

// sites checks what each site has.
func (c *checker) sites() error {
	sites, err := scanRows[siteRow](c.ctx, c.q, siteLayout, "SELECT "+siteLayout.selected("")+" FROM sites ORDER BY id")
	if err != nil {
		return err
	}
	if len(sites) != 1 {
		c.add(Damage{What: fmt.Sprintf("the database has %d sites, want 1", len(sites)), Mend: mendFile})
	}
	for i := range sites {
		s := &sites[i]
		c.checked.Change = s.Change
		if s.Digest != c.digests.site(s) {
			c.add(Damage{What: "the site's id, its change number or its digest isn't what was stored", Mend: mendFile})
		}
		before := c.checked.Records()
		for _, kind := range crop.Kinds() {
			if err := c.unreadable("the table of "+tables[kind].many, c.records(s.ID, tables[kind])); err != nil {
				return err
			}
		}
		c.tally(s, int64(c.checked.Records()-before))
		for _, step := range []struct {
			what string
			do   func(site int64) error
		}{{"the history", c.history}, {"the times of recording", func(int64) error { return c.changes(s) }}, {"the plants' records", c.plants}} {
			if err := c.unreadable(step.what, step.do(s.ID)); err != nil {
				return err
			}
		}
	}
	return nil
}

// tally holds the records that are there against the site's count of them. One that was taken away by other means than this
// program leaves no other trace, unless it had earlier versions or something refers to it.
func (c *checker) tally(s *siteRow, there int64) {
	switch missing := s.Records - there; {
	case missing > 0:
		c.add(Damage{What: fmt.Sprintf("%d records were stored and not deleted here, but %d are there: %d went some other way", s.Records, there, missing), Mend: mendFile})
	case missing < 0:
		c.add(Damage{What: fmt.Sprintf("%d records were stored and not deleted here, but %d are there: %d came some other way", s.Records, there, -missing), Mend: mendFile})
	}
}

// changes holds the change number against the times of recording: it grows by one for each batch, and all that a batch
// wrote has one time. The two scales that the site was made with came without a change.
func (c *checker) changes(s *siteRow) error {
	query := "SELECT recorded_at FROM history WHERE site_id = ?1"
	for _, kind := range crop.Kinds() {
		query += " UNION SELECT recorded_at FROM " + tables[kind].name + " WHERE site_id = ?1"
	}
	var times int64
	if err := c.q.QueryRowContext(c.ctx, "SELECT count(*) FROM ("+query+")", s.ID).Scan(&times); err != nil {
		return err
	}
	if s.Change < times-2 {
		c.add(Damage{What: fmt.Sprintf("the change number is %d, but the records were written at %d different times", s.Change, times), Mend: mendFile})
	}
	return nil
}
