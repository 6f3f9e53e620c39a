package storage

import (
	"context"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"sync"

	"gorm.io/gorm"
	"gorm.io/gorm/schema"

	"vinetally/analytics/crop"
)

// table is how one kind of record is kept.
type table struct {
	kind      crop.Kind
	name      string
	one, many string // in words
	order     order
	filters   filters
	// unique are the columns that no two records share, none for most kinds.
	unique []string
	// label is what people call the record, for messages.
	label func(crop.Record) string

	layout         // the columns as they are read: all but the digest, which only check looks at
	written layout // all columns
	// toRow makes a row without its base.
	toRow func(crop.Record) (row, error)
	// scan reads rows through database/sql, scanWritten with all columns, list through gorm.
	scan        func(ctx context.Context, q gorm.ConnPool, query string, args ...any) ([]row, error)
	scanWritten func(ctx context.Context, q gorm.ConnPool, query string, args ...any) ([]row, error)
	list        func(ctx context.Context, query *gorm.DB) ([]row, error)
}

// layout is the columns of a row struct, as gorm sees them.
type layout struct {
	columns []string
	fields  [][]int // the struct field of each column
}

// layoutOf reads the columns of R. A row struct that gorm can't read is a fault in the program.
func layoutOf[R any]() layout {
	s, err := schema.Parse(new(R), &sync.Map{}, schema.NamingStrategy{})
	if err != nil {
		panic(err)
	}
	var l layout
	for _, f := range s.Fields {
		if f.DBName != "" {
			l.columns = append(l.columns, f.DBName)
			l.fields = append(l.fields, f.StructField.Index)
		}
	}
	return l
}

// without is the layout but for one column.
func (l layout) without(column string) layout {
	i := slices.Index(l.columns, column)
	return layout{slices.Delete(slices.Clone(l.columns), i, i+1), slices.Delete(slices.Clone(l.fields), i, i+1)}
}

// selected is the columns for a SELECT, each with the prefix.
func (l layout) selected(prefix string) string {
	return prefix + strings.Join(l.columns, ", "+prefix)
}

// targets are pointers to the fields of the row that ptr points at, in the order of the columns.
func (l layout) targets(ptr any) []any {
	v := reflect.ValueOf(ptr).Elem()
	targets := make([]any, len(l.fields))
	for i, index := range l.fields {
		targets[i] = v.FieldByIndex(index).Addr().Interface()
	}
	return targets
}

// appendValues appends the values of the row that ptr points at, in the order of the columns.
func (l layout) appendValues(values []any, ptr any) []any {
	v := reflect.ValueOf(ptr).Elem()
	for _, index := range l.fields {
		values = append(values, v.FieldByIndex(index).Interface())
	}
	return values
}

// scanRows reads every row of a query that selects the columns of l.
func scanRows[R any](ctx context.Context, q gorm.ConnPool, l layout, query string, args ...any) (rows []R, err error) {
	cursor, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer cursor.Close()
	var r R
	targets := l.targets(&r)
	for cursor.Next() {
		if err := cursor.Scan(targets...); err != nil {
			return nil, err
		}
		rows = append(rows, r)
	}
	return rows, cursor.Err()
}

// define completes a table for row type R and record type T.
func define[R any, T any, P interface {
	*R
	row
}, C interface {
	*T
	crop.Record
}](t table, toRow func(C) (R, error), label func(C) string) *table {
	t.written = layoutOf[R]()
	t.layout = t.written.without("digest")
	t.toRow = func(r crop.Record) (row, error) {
		typed, ok := r.(C)
		if !ok {
			return nil, fmt.Errorf("%T in the table of %s", r, t.many)
		}
		made, err := toRow(typed)
		return P(&made), err
	}
	t.label = func(r crop.Record) string { return label(r.(C)) }
	t.scan = func(ctx context.Context, q gorm.ConnPool, query string, args ...any) ([]row, error) {
		found, err := scanRows[R](ctx, q, t.layout, query, args...)
		return pointers[R, P](found), err
	}
	t.scanWritten = func(ctx context.Context, q gorm.ConnPool, query string, args ...any) ([]row, error) {
		found, err := scanRows[R](ctx, q, t.written, query, args...)
		return pointers[R, P](found), err
	}
	t.list = func(ctx context.Context, query *gorm.DB) ([]row, error) {
		var found []R
		err := query.WithContext(ctx).Find(&found).Error
		return pointers[R, P](found), err
	}
	return &t
}

func pointers[R any, P interface {
	*R
	row
}](found []R) []row {
	rows := make([]row, len(found))
	for i := range found {
		rows[i] = P(&found[i])
	}
	return rows
}

// sure makes a row maker that can't fail into one that may.
func sure[T, R any](f func(T) R) func(T) (R, error) {
	return func(t T) (R, error) { return f(t), nil }
}

// words says how many records of the kind, such as "1 plant" or "3 plants".
func (t *table) words(n int) string {
	if n == 1 {
		return "1 " + t.one
	}
	return fmt.Sprintf("%d %s", n, t.many)
}
