package csvfile

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"vinetally/analytics/crop"
)

// column is one column of a file, for both directions.
type column[T any] struct {
	name string
	need need
	// text columns are guarded against running as a formula.
	text bool
	// stage columns together are the counts of a visit.
	stage bool
	// read sets the value from the cell; an empty cell sets it to not given. Columns are read in the table's order,
	// whatever the file's, so a time finds the plant already known.
	read func(c *cell, r *T)
	// write returns the cell's text before guarding.
	write func(names *registry, r *T) string
}

// need says whether a column may be missing from the file, and its cells empty.
type need int

const (
	mayMiss   need = iota
	mayEmpty       // the column must be there, its cells may be empty
	mustGiven      // the column must be there and every cell filled
)

// table is one file's columns.
type table[T any] struct {
	file    string
	noun    string // what a row is, in messages
	key     string // the columns of the key, in messages
	columns []column[T]
	// lacks names the column that a header lacks although no column alone is needed, or is nil.
	lacks func(has func(name string) bool) string
	// noID tells that rows have no ids of their own.
	noID bool
	// complete is called after the cells of a row, to fill in defaults and refuse combinations. It may be nil.
	complete func(c *cell, r *T)
}

// header says where the columns of a table stand in a file.
type header struct {
	at    []int // for each column of the table its position in the file, -1 if missing
	id    int   // the position of the id column, -1 if missing
	width int
	// nameless are the positions of columns without a name, as spreadsheets leave them where a column was emptied. Their
	// cells must be empty too.
	nameless []int
	// unusable tells that rows can't be read by it; a column that is unknown is a fault, and no hindrance.
	unusable bool
}

// bind finds the table's columns in the header line and reports what is wrong with it through fault. Stages of a scale
// that could not be read are unknown columns through no fault of this file; lenient passes over unknown columns.
func (t *table[T]) bind(cells []string, lenient bool, fault func(column, what string)) *header {
	h := &header{at: make([]int, len(t.columns)), id: -1, width: len(cells)}
	unusable := func(column, what string) {
		h.unusable = true
		fault(column, what)
	}
	for i := range h.at {
		h.at[i] = -1
	}
	var unknown []string
	for i, cell := range cells {
		name := crop.Name(unguard(crop.Name(cell)))
		slot := t.slot(h, name)
		switch {
		case !utf8.ValidString(name):
			unusable("", fmt.Sprintf("the name of column %d is not UTF-8; save the file as UTF-8", i+1))
		case name == "":
			h.nameless = append(h.nameless, i)
		case slot == nil:
			unknown = append(unknown, name)
		case *slot >= 0:
			unusable(name, "stands twice in the header; keep one of the two columns")
		default:
			*slot = i
		}
	}
	if len(unknown)+len(h.nameless) == len(cells) {
		unusable("", fmt.Sprintf("names no column of this file; the first line must be the names of the columns, which are %s%s", t.names(), t.stageHint()))
		return h
	}
	for _, name := range unknown {
		if !lenient {
			fault(name, "is not a column of this file; its columns are "+t.names()+t.stageHint())
		}
	}
	for i, col := range t.columns {
		if h.at[i] < 0 && col.need != mayMiss {
			unusable(col.name, "the column is missing; the header must name it")
		}
	}
	if t.lacks != nil {
		if name := t.lacks(func(name string) bool { return h.has(t, name) }); name != "" {
			unusable("", "the header lacks "+name)
		}
	}
	return h
}

// stageHint says where stages come from, of a file that has a column for each.
func (t *table[T]) stageHint() string {
	for i := range t.columns {
		if t.columns[i].stage {
			return "; the stages are those of the scales in use, and a new one wants a scale in scales.csv"
		}
	}
	return ""
}

func (h *header) has(t interface{ position(string) int }, name string) bool {
	i := t.position(name)
	return i >= 0 && h.at[i] >= 0
}

func (t *table[T]) position(name string) int {
	for i := range t.columns {
		if t.columns[i].name == name {
			return i
		}
	}
	return -1
}

// slot returns where the position of a named column is kept. The exact name comes first: a stage may differ from another
// column by case alone.
func (t *table[T]) slot(h *header, name string) *int {
	if name == "id" && !t.noID {
		return &h.id
	}
	if i := t.position(name); i >= 0 {
		return &h.at[i]
	}
	if strings.EqualFold(name, "id") && !t.noID {
		return &h.id
	}
	for i := range t.columns {
		if strings.EqualFold(name, t.columns[i].name) {
			return &h.at[i]
		}
	}
	return nil
}

// names lists the columns, those that may be missing in brackets.
func (t *table[T]) names() string {
	var names []string
	if !t.noID {
		names = append(names, "[id]")
	}
	for _, col := range t.columns {
		if col.need == mayMiss {
			names = append(names, "["+col.name+"]")
		} else {
			names = append(names, col.name)
		}
	}
	return strings.Join(names, ", ")
}
