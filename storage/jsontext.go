package storage

import (
	"encoding/json"
	"strconv"
	"strings"
)

// jsonText reads the JSON that the database packs rows into, from the front. What it takes must be there; the first thing
// that isn't sets bad, and from then on nothing is read.
type jsonText struct {
	rest string
	bad  bool
}

func (t *jsonText) fail() { t.bad, t.rest = true, "" }

// space passes over white space, which the database doesn't write and other programs may have.
func (t *jsonText) space() {
	for t.rest != "" && (t.rest[0] == ' ' || t.rest[0] == '\n' || t.rest[0] == '\t' || t.rest[0] == '\r') {
		t.rest = t.rest[1:]
	}
}

// next tells whether c comes next, and passes over it if so.
func (t *jsonText) next(c byte) bool {
	t.space()
	if t.rest == "" || t.rest[0] != c {
		return false
	}
	t.rest = t.rest[1:]
	return true
}

// take passes over c, which must come next.
func (t *jsonText) take(c byte) {
	if !t.next(c) {
		t.fail()
	}
}

// more tells whether a list that ends with end goes on, and passes over what is between two elements.
func (t *jsonText) more(first bool, end byte) bool {
	switch {
	case t.bad || t.next(end):
		return false
	case !first:
		t.take(',')
	}
	return !t.bad
}

// text takes a string. The result may share memory with what is read.
func (t *jsonText) text() string {
	t.take('"')
	end := strings.IndexByte(t.rest, '"')
	if end >= 0 && strings.IndexByte(t.rest[:end], '\\') < 0 {
		s := t.rest[:end]
		t.rest = t.rest[end+1:]
		return s
	}
	for end = 0; end < len(t.rest) && t.rest[end] != '"'; end++ {
		if t.rest[end] == '\\' {
			end++
		}
	}
	if end >= len(t.rest) {
		t.fail()
		return ""
	}
	var s string
	if json.Unmarshal([]byte(`"`+t.rest[:end+1]), &s) != nil {
		t.fail()
		return ""
	}
	t.rest = t.rest[end+1:]
	return s
}

// whole takes a whole number.
func (t *jsonText) whole() int64 {
	t.space()
	end := 0
	for end < len(t.rest) && (t.rest[end] == '-' || '0' <= t.rest[end] && t.rest[end] <= '9') {
		end++
	}
	n, err := strconv.ParseInt(t.rest[:end], 10, 64)
	if err != nil {
		t.fail()
		return 0
	}
	t.rest = t.rest[end:]
	return n
}

// null tells whether null comes next, and passes over it if so.
func (t *jsonText) null() bool {
	t.space()
	found := strings.HasPrefix(t.rest, "null")
	if found {
		t.rest = t.rest[len("null"):]
	}
	return found
}
