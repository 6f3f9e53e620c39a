package api

import (
	"bytes"
	"strconv"

	"github.com/go-json-experiment/json/jsontext"
)

// valueAt returns the part of a well-formed value that a pointer names, nil if there is none.
func valueAt(v jsontext.Value, at jsontext.Pointer) jsontext.Value {
	for token := range at.Tokens() {
		found := jsontext.Value(nil)
		for name, part := range parts(v) {
			if name == token {
				found = part
			}
		}
		if v = found; v == nil {
			return nil
		}
	}
	return v
}

// without returns a well-formed value without the part that a pointer names: a member is left out, an element of a list
// becomes null so that the others keep their places. It returns false if nothing would be left, or the pointer leads nowhere.
func without(v jsontext.Value, at jsontext.Pointer) (jsontext.Value, bool) {
	if at == "" {
		return nil, false
	}
	var first string
	for token := range at.Tokens() {
		first = token
		break
	}
	rest := at[1:]
	if i := bytes.IndexByte([]byte(rest), '/'); i >= 0 {
		rest = rest[i:]
	} else {
		rest = ""
	}
	list := v.Kind() == '['
	var members []member
	elements := []byte{'['}
	found := false
	for name, part := range parts(v) {
		if name == first {
			found = true
			edited, left := without(part, rest)
			switch {
			case left:
				part = edited
			case list:
				part = jsontext.Value("null")
			default:
				continue
			}
			if list && bytes.Equal(part, valueAt(v, jsontext.Pointer("/"+first))) {
				return nil, false // it is null already, and that is the fault
			}
		}
		if !list {
			members = append(members, member{name, part})
			continue
		}
		if len(elements) > 1 {
			elements = append(elements, ',')
		}
		elements = append(elements, part...)
	}
	switch {
	case !found:
		return nil, false
	case list:
		return append(elements, ']'), true
	}
	return assemble(members...), true
}

// parts goes through the members of an object by name, or the elements of a list by position.
func parts(v jsontext.Value) func(yield func(string, jsontext.Value) bool) {
	return func(yield func(string, jsontext.Value) bool) {
		dec := jsontext.NewDecoder(bytes.NewReader(v))
		opened, err := dec.ReadToken()
		if err != nil || opened.Kind() != '{' && opened.Kind() != '[' {
			return
		}
		for i := 0; dec.PeekKind() != '}' && dec.PeekKind() != ']'; i++ {
			name := strconv.Itoa(i)
			if opened.Kind() == '{' {
				token, err := dec.ReadToken()
				if err != nil {
					return
				}
				name = token.String()
			}
			part, err := dec.ReadValue()
			if err != nil || !yield(name, part.Clone()) {
				return
			}
		}
	}
}
