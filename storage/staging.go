package storage

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"

	"gorm.io/driver/sqlite"
	"gorm.io/gorm"
	"gorm.io/gorm/logger"

	"vinetally/analytics/crop"
)

// staging is a connection that reads one state of a database and keeps what is to be written aside, so that an import holds
// up nobody until it has read and checked everything.
//
// Aside is an attached temporary database, which SQLite holds in a file without a name (sqlite.org/tempfiles.html): it is
// gone when the connection closes and when the program is killed. On the connection the name of a table stands for a view of the table
// as it will be, so that all that reads tables reads that.
type staging struct {
	site   int64
	pool   *sql.DB
	conn   *sql.Conn
	q      gorm.ConnPool // the same
	gorm   *gorm.DB
	tables []*table
	kept   map[crop.Kind]int // how many rows
}

// mainCache and asideCache are how many kilobytes of the database and of what is kept aside are held in memory.
const (
	mainCache  = 32768
	asideCache = 8192
)

// stage opens a connection for an import.
func (s *Site) stage(ctx context.Context) (st *staging, err error) {
	st = &staging{site: s.id, kept: map[crop.Kind]int{}}
	defer func() {
		if err != nil {
			st.close()
		}
	}()
	if st.pool, err = sql.Open(driverName, uri(s.db.path, writerQuery(s.db.wait.Milliseconds()))); err != nil {
		return st, err
	}
	if st.conn, err = st.pool.Conn(ctx); err != nil {
		return st, err
	}
	st.q = st.conn
	st.gorm, err = gorm.Open(sqlite.New(sqlite.Config{DriverName: driverName, Conn: st.conn}), &gorm.Config{
		SkipDefaultTransaction: true, Logger: logger.Discard,
	})
	if err != nil {
		return st, err
	}
	for _, kind := range crop.Kinds() {
		st.tables = append(st.tables, tables[kind])
	}
	return st, st.lay(ctx)
}

func (st *staging) close() {
	if st.conn != nil {
		_ = st.conn.Close()
	}
	if st.pool != nil {
		_ = st.pool.Close()
	}
}

func (st *staging) exec(ctx context.Context, query string, args ...any) error {
	_, err := st.q.ExecContext(ctx, query, args...)
	return err
}

// lay makes the tables aside and the views. Of each kind of record there are the rows that come, called as the table, and the
// ids of those in the table that they take the place of, or that go (…_gone). All is of one site, so keys do without it.
func (st *staging) lay(ctx context.Context) error {
	// The log is moved into the database when the import is done and others no longer wait for it.
	err := st.exec(ctx, fmt.Sprintf(`PRAGMA wal_autocheckpoint = 0; PRAGMA main.cache_size = -%d;
		ATTACH '' AS aside; PRAGMA aside.journal_mode = OFF; PRAGMA aside.cache_size = -%d`, mainCache, asideCache))
	if err != nil {
		return err
	}
	columns, err := pairs(ctx, st.q, `SELECT s.name, group_concat(p.name || ' ' || p.type, ', ' ORDER BY p.cid)
		FROM main.sqlite_schema AS s JOIN pragma_table_info(s.name) AS p WHERE s.type = 'table' GROUP BY s.name`)
	if err != nil {
		return err
	}
	var q strings.Builder
	table := func(name, key, without string, l layout) {
		fmt.Fprintf(&q, "CREATE TABLE aside.%s (%s, PRIMARY KEY (%s)) WITHOUT ROWID;\n", name, columns[name], key)
		all := l.selected("")
		fmt.Fprintf(&q, "CREATE TEMP VIEW %s AS SELECT %s FROM main.%[1]s AS m%[3]s UNION ALL SELECT %[2]s FROM aside.%[1]s;\n", name, all, without)
	}
	for _, t := range st.tables {
		fmt.Fprintf(&q, "CREATE TABLE aside.%s_gone (id BLOB PRIMARY KEY, first INTEGER) WITHOUT ROWID;\n", t.name)
		table(t.name, "id", " WHERE "+notGone(t, "m"), t.written)
		if len(t.unique) > 0 {
			fmt.Fprintf(&q, "CREATE INDEX aside.%s_unique ON %[1]s (%s);\n", t.name, strings.Join(t.unique, ", "))
		}
	}
	// What the tables' triggers refuse is refused here already.
	triggers, err := pairs(ctx, st.q, `SELECT name, sql FROM main.sqlite_schema WHERE type = 'trigger'`)
	if err != nil {
		return err
	}
	for _, text := range triggers {
		q.WriteString(inSchema(text, "aside") + ";\n")
	}
	q.WriteString("CREATE TABLE aside.statistics (tbl, idx, stat);\n")
	q.WriteString("CREATE TABLE aside.unmoved (plant_id BLOB PRIMARY KEY) WITHOUT ROWID;\n")
	table("plant_moves", "plant_id, moved_on",
		" WHERE NOT EXISTS (SELECT 1 FROM aside.unmoved AS u WHERE u.plant_id = m.plant_id)", moveLayout)
	table("history", "kind, record_id, version", "", historyLayout)
	q.WriteString("CREATE TABLE aside.looked (kind TEXT, id BLOB, PRIMARY KEY (kind, id)) WITHOUT ROWID;\n")
	return st.exec(ctx, q.String())
}

// notGone is the condition that a row of the table, called as, stays as it is.
func notGone(t *table, as string) string {
	return fmt.Sprintf("NOT EXISTS (SELECT 1 FROM aside.%s_gone AS g WHERE g.id = %s.id)", t.name, as)
}

// keep keeps what a batch does.
func (st *staging) keep(ctx context.Context, w *writes) error {
	for part := range slices.Chunk(w.unmoved, chunk) {
		err := st.exec(ctx, "DELETE FROM aside.plant_moves WHERE plant_id IN ("+marks(len(part))+")", siteAndIDs(st.site, part)[1:]...)
		if err != nil {
			return err
		}
	}
	if err := st.list(ctx, "INSERT OR IGNORE INTO aside.unmoved (plant_id) VALUES ", "(?)", w.unmoved); err != nil {
		return err
	}
	for _, t := range st.tables {
		for part := range slices.Chunk(w.gone[t.kind], chunk) {
			if err := st.exec(ctx, "DELETE FROM aside."+t.name+" WHERE id IN ("+marks(len(part))+")", siteAndIDs(st.site, part)[1:]...); err != nil {
				return err
			}
		}
		if err := st.list(ctx, "INSERT OR REPLACE INTO aside."+t.name+"_gone (id, first) VALUES ", "(?, 1)", w.gone[t.kind]); err != nil {
			return err
		}
	}
	for _, t := range st.tables {
		if err := st.edit(ctx, t, w.edited[t.kind], w.rows[t.kind]); err != nil {
			return err
		}
	}
	if err := insertRows(ctx, st.q, "aside.plant_moves", moveLayout, w.moves, ""); err != nil {
		return err
	}
	return insertRows(ctx, st.q, "aside.history", historyLayout, w.history, "")
}

// edit keeps rows, of which those with the ids in edited take the place of others.
func (st *staging) edit(ctx context.Context, t *table, edited []crop.ID, rows []any) error {
	err := st.list(ctx, "INSERT OR IGNORE INTO aside."+t.name+"_gone (id, first) VALUES ", "(?, 0)", edited)
	if err != nil {
		return err
	}
	st.kept[t.kind] += len(rows)
	return insertRows(ctx, st.q, "aside."+t.name, t.written, rows, "(id)")
}

// look notes stored records that the import's outcome rests on, although it may leave them as they are.
func (st *staging) look(ctx context.Context, kind crop.Kind, ids []crop.ID) error {
	return st.list(ctx, "INSERT OR IGNORE INTO aside.looked (kind, id) VALUES ", fmt.Sprintf("('%s', ?)", kind), ids)
}

// list inserts one row for each id.
func (st *staging) list(ctx context.Context, into, row string, ids []crop.ID) error {
	for part := range slices.Chunk(ids, chunk) {
		args := make([]any, len(part))
		for i, id := range part {
			args[i] = key(id)
		}
		if err := st.exec(ctx, into+strings.TrimSuffix(strings.Repeat(row+",", len(part)), ","), args...); err != nil {
			return err
		}
	}
	return nil
}

// any tells whether a query of nothing but EXISTS gives true.
func (st *staging) any(ctx context.Context, query string, args ...any) (yes bool, err error) {
	err = st.q.QueryRowContext(ctx, "SELECT "+query, args...).Scan(&yes)
	return yes, err
}

// begin begins a transaction, which reads the state that the database is in now; with the lock nobody else writes until it
// ends.
func (st *staging) begin(ctx context.Context, lock bool) error {
	if lock {
		return st.exec(ctx, "BEGIN IMMEDIATE")
	}
	return st.exec(ctx, "BEGIN")
}

func (st *staging) commit(ctx context.Context) error { return st.exec(ctx, "COMMIT") }

// rollback undoes a transaction, if there is one still.
func (st *staging) rollback(ctx context.Context) {
	_ = st.exec(context.WithoutCancel(ctx), "ROLLBACK")
}

// asideFull says where there was no room.
func asideFull(err error) error {
	if errors.Is(err, ErrFull) {
		return fmt.Errorf("keep what is read until all of it is checked, in the folder for temporary files (the environment variable TMPDIR names another): %w", err)
	}
	return err
}
