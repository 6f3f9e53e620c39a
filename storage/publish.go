package storage

import (
	"context"
	"fmt"
	"strings"
)

const (
	// heavy is how many rows of a kind are worth taking the triggers and indexes of their table off for.
	heavy = 10_000
	// sortCache is how many kilobytes an index is sorted in.
	sortCache = 8192
)

// publish moves what was kept aside into the tables and counts the change. It is within the transaction that holds the lock.
func (st *staging) publish(ctx context.Context, grown int) error {
	for _, t := range st.tables {
		err := st.exec(ctx, fmt.Sprintf("DELETE FROM main.%s WHERE site_id = ?1 AND id IN (SELECT id FROM aside.%[1]s_gone WHERE first)", t.name), st.site)
		if err != nil {
			return err
		}
	}
	err := st.exec(ctx, "DELETE FROM main.plant_moves WHERE site_id = ?1 AND plant_id IN (SELECT plant_id FROM aside.unmoved)", st.site)
	if err != nil {
		return err
	}
	for _, t := range st.tables {
		if err := st.publishKind(ctx, t); err != nil {
			return err
		}
	}
	for name, l := range map[string]layout{"plant_moves": moveLayout, "history": historyLayout} {
		if err := st.exec(ctx, fmt.Sprintf("INSERT INTO main.%s (%[2]s) SELECT %[2]s FROM aside.%[1]s", name, l.selected(""))); err != nil {
			return err
		}
	}
	return countChange(ctx, st.q, st.site, grown)
}

// publishKind moves the rows of a kind, in the order of their ids, as the table has them.
func (st *staging) publishKind(ctx context.Context, t *table) error {
	if st.kept[t.kind] == 0 {
		return nil
	}
	query := fmt.Sprintf("INSERT INTO main.%s (%[2]s) SELECT %[2]s FROM aside.%[1]s WHERE true", t.name, t.written.selected(""))
	edits, err := st.any(ctx, "EXISTS (SELECT 1 FROM aside."+t.name+"_gone WHERE NOT first)")
	if err != nil {
		return err
	}
	if edits {
		query += upsert(t.written, "(site_id, id)")
	}
	if st.kept[t.kind] < heavy {
		return st.exec(ctx, query)
	}
	restore, err := st.unburden(ctx, t)
	if err != nil {
		return err
	}
	if err := st.exec(ctx, query); err != nil {
		return err
	}
	return restore(ctx)
}

// inSchema is the definition of an index or trigger, with its name in a schema. SQLite keeps it without.
func inSchema(definition, schema string) string {
	for _, create := range []string{"CREATE INDEX ", "CREATE UNIQUE INDEX ", "CREATE TRIGGER "} {
		if name, ok := strings.CutPrefix(definition, create); ok {
			return create + schema + "." + name
		}
	}
	return definition
}

// unburden takes off a table what makes adding many rows slow, for as long as the transaction doesn't end: it halves the
// time for which others wait. Its triggers have seen the rows when they were kept aside. Its indexes are sorted
// anew afterwards, which takes less time than adding rows to them one by one, unless the table has many rows already.
// Nobody else sees the table without them.
func (st *staging) unburden(ctx context.Context, t *table) (restore func(context.Context) error, err error) {
	many, err := st.any(ctx, fmt.Sprintf("(SELECT count(*) FROM (SELECT 1 FROM main.%s LIMIT ?1)) = ?1", t.name), st.kept[t.kind]/2)
	if err != nil {
		return nil, err
	}
	kinds := "'trigger', 'index'"
	if many {
		kinds = "'trigger'"
	}
	definitions, err := pairs(ctx, st.q, "SELECT type || ' main.' || name, sql FROM main.sqlite_schema WHERE sql IS NOT NULL AND tbl_name = '"+t.name+"' AND type IN ("+kinds+")")
	if err != nil {
		return nil, err
	}
	var drop, add strings.Builder
	for what, text := range definitions {
		fmt.Fprintf(&drop, "DROP %s;\n", what)
		fmt.Fprintf(&add, "%s;\n", inSchema(text, "main"))
	}
	// With an index go the planner's statistics of it.
	add.WriteString("INSERT INTO main.sqlite_stat1 SELECT * FROM aside.statistics EXCEPT SELECT * FROM main.sqlite_stat1;\n")
	if err := st.exec(ctx, "DELETE FROM aside.statistics; INSERT INTO aside.statistics SELECT tbl, idx, stat FROM main.sqlite_stat1;\n"+drop.String()); err != nil {
		return nil, err
	}
	return func(ctx context.Context) error {
		return st.exec(ctx, fmt.Sprintf("PRAGMA main.cache_size = -%d;\n", sortCache)+add.String()+fmt.Sprintf("PRAGMA main.cache_size = -%d;", mainCache))
	}, nil
}
