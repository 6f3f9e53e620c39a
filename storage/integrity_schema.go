package storage

import (
	"context"
	"database/sql"
	"fmt"
	"maps"
	"slices"
	"sync"

	"gorm.io/gorm"
)

// pages makes SQLite's own check: the tree of every table and index, the entries of indexes against their rows, the types of
// values (sqlite.org/pragma.html#pragma_integrity_check). Constraints of these tables it leaves to the rules of records.
func (c *checker) pages() error {
	if err := c.q.QueryRowContext(c.ctx, `PRAGMA page_count`).Scan(&c.checked.Pages); err != nil {
		return err
	}
	return c.each(fmt.Sprintf(`PRAGMA integrity_check(%d)`, mostDamage), func(rows *sql.Rows) error {
		var what string
		if err := rows.Scan(&what); err != nil || what == "ok" {
			return err
		}
		c.add(Damage{What: "SQLite finds: " + what, Mend: mendFile})
		return nil
	})
}

// foreignKeys tells how many rows name something that isn't there; which ones, the rules of records tell.
func (c *checker) foreignKeys() error {
	broken := map[[2]string]int{}
	err := c.each(`PRAGMA foreign_key_check`, func(rows *sql.Rows) error {
		var table, parent string
		var row, key any
		err := rows.Scan(&table, &row, &parent, &key)
		broken[[2]string{table, parent}]++
		return err
	})
	for _, k := range slices.SortedFunc(maps.Keys(broken), func(a, b [2]string) int { return slices.Compare(a[:], b[:]) }) {
		c.add(Damage{What: fmt.Sprintf("%d rows of the table %s refer to what isn't in the table %s", broken[k], k[0], k[1]), Mend: mendFile})
	}
	return err
}

func (c *checker) each(query string, f func(rows *sql.Rows) error) error {
	rows, err := c.q.QueryContext(c.ctx, query)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := f(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}

// schemaQueries list what the migrations make, name and contents.
var schemaQueries = map[string]string{
	"the definition of":             `SELECT type || ' ' || name || ' of ' || tbl_name, coalesce(sql, '') FROM sqlite_schema`,
	"the planner's statistics of":   `SELECT tbl || ' ' || coalesce(idx, ''), stat FROM sqlite_stat1`,
	"the record of the migration":   `SELECT version_id, is_applied FROM goose_db_version`,
	"the layout of the digests, in": `SELECT 'PRAGMA user_version', user_version FROM pragma_user_version`,
}

// definitions are what the queries give, name by name.
type definitions map[string]map[string]string

func readSchema(ctx context.Context, q gorm.ConnPool) (definitions, error) {
	s := definitions{}
	for what, query := range schemaQueries {
		found, err := pairs(ctx, q, query)
		if err != nil {
			return nil, err
		}
		s[what] = found
	}
	return s, nil
}

// newSchema is the schema of a new database.
var newSchema = sync.OnceValues(func() (definitions, error) {
	ctx := context.Background() // nothing outside memory is waited for
	fresh, err := sql.Open(driverName, ":memory:")
	if err != nil {
		return nil, err
	}
	defer fresh.Close()
	fresh.SetMaxOpenConns(1) // each connection has a database of its own
	if _, err := migrate(ctx, fresh); err != nil {
		return nil, err
	}
	if err := fillDigests(ctx, fresh); err != nil {
		return nil, err
	}
	return readSchema(ctx, fresh)
})

// schema compares tables, indexes, triggers and what else the migrations make with what they make in a new database.
func (c *checker) schema() error {
	all, err := readSchema(c.ctx, c.q)
	if err != nil {
		return err
	}
	for _, what := range slices.Sorted(maps.Keys(schemaQueries)) {
		want, have := c.expected[what], all[what]
		for _, name := range slices.Sorted(maps.Keys(want)) {
			if text, ok := have[name]; !ok {
				c.add(Damage{What: fmt.Sprintf("%s %s is missing", what, name), Mend: mendFile})
			} else if text != want[name] {
				c.add(Damage{What: fmt.Sprintf("%s %s isn't what the program makes", what, name), Mend: mendFile})
			}
			delete(have, name)
		}
		for _, name := range slices.Sorted(maps.Keys(have)) {
			c.add(Damage{What: fmt.Sprintf("%s %q is none of the program's", what, name),
				Mend: "drop it if you made it yourself, else " + mendFile})
		}
	}
	return nil
}

// pairs reads two columns. Rows that come more than once are counted in what they hold.
func pairs(ctx context.Context, q gorm.ConnPool, query string) (map[string]string, error) {
	rows, err := q.QueryContext(ctx, query)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	found := map[string]string{}
	for rows.Next() {
		var name, text string
		if err := rows.Scan(&name, &text); err != nil {
			return nil, err
		}
		if was, ok := found[name]; ok {
			text = was + "\n" + text
		}
		found[name] = text
	}
	return found, rows.Err()
}
