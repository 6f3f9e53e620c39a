package api

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"vinetally/analytics/crop"
)

// sent is a decoded body: the record, and what stands beside its fields.
type sent struct {
	record crop.Record
	base   *int64 // base_version: the version it was made from
}

// decodeRecord reads the body of a record strictly: one JSON object in UTF-8, every name once and in the case of the
// contract, no unknown names, no number in quotes. What only answers have (version, recorded_at, …) is passed over, so that an
// answer can be edited and sent back. Every fault of the form is returned, not the first alone, with the record as far as it
// could be read; an error is a body that isn't one JSON object.
func decodeRecord(kind crop.Kind, body []byte) (sent, []crop.Fault, error) {
	if in, ok := decodeClean(kind, body); ok {
		return in, nil, nil
	}
	return decodePieces(kind, body)
}

// decodePieces is decodeRecord one member at a time.
func decodePieces(kind crop.Kind, body []byte) (sent, []crop.Fault, error) {
	members, err := splitObject(body)
	if err != nil {
		return sent{}, nil, err
	}
	in, faults := decodeMembers(kind, members)
	return in, faults, nil
}

// decodeMembers reads the members of a record's object.
func decodeMembers(kind crop.Kind, members []member) (sent, []crop.Fault) {
	var (
		fields    []member
		faults    []crop.Fault
		base      *int64
		timeKnown *bool
	)
	for _, m := range members {
		switch {
		case isReadOnly(m.name):
		case m.name == "base_version":
			faults = append(faults, readAside(m, &base)...)
		case m.name == "time_known" && momentField(kind) != "":
			faults = append(faults, readAside(m, &timeKnown)...)
		default:
			fields = append(fields, m)
		}
	}
	record, fieldFaults := decodeFields(kind, fields)
	faults = append(append(faults, fieldFaults...), checkBase(base)...)
	return sent{record, base}, append(faults, setTimeKnown(record, timeKnown)...)
}

// isReadOnly tells whether only answers have a field.
func isReadOnly(name string) bool {
	switch name {
	case "version", "recorded_at", "recorded_by", "warnings", "deleted":
		return true
	}
	return false
}

func checkBase(base *int64) []crop.Fault {
	if base == nil || *base >= 0 {
		return nil
	}
	return []crop.Fault{{Pointer: "/base_version", Detail: fmt.Sprintf("is %d, which is negative; give the version the record was read with, 0 for a new one", *base)}}
}

// setTimeKnown makes a day alone of an instant that says its time isn't known, by the clock of its own offset.
func setTimeKnown(r crop.Record, known *bool) []crop.Fault {
	m := crop.MomentOf(r)
	if m == nil || known == nil || m.IsZero() || *known == m.TimeKnown() {
		return nil
	}
	if *known {
		return []crop.Fault{{Pointer: "/time_known", Detail: fmt.Sprintf("is true, but %s is %s, a day alone; give the time as well, or leave time_known out",
			momentField(r.RecordKind()), m)}}
	}
	*m = crop.DayMoment(m.LocalDate(), m.At.Location())
	return nil
}

// member is one name of an object with its value.
type member struct {
	name  string
	value jsontext.Value
}

// splitObject returns the members of a body that is one well-formed JSON object.
func splitObject(body []byte) ([]member, error) {
	dec := jsontext.NewDecoder(bytes.NewReader(body))
	if kind := dec.PeekKind(); kind != '{' && kind != 0 {
		if _, err := dec.ReadValue(); err != nil {
			return nil, refuseSyntax(err)
		}
		return nil, refuseRecord([]crop.Fault{{Detail: "the body is " + kindName(kind) + "; send the record as a JSON object"}})
	}
	if _, err := dec.ReadToken(); err != nil {
		return nil, refuseSyntax(err)
	}
	var members []member
	for dec.PeekKind() != '}' {
		name, err := dec.ReadToken()
		if err != nil {
			return nil, refuseSyntax(err)
		}
		m := member{name: name.String()}
		value, err := dec.ReadValue()
		if err != nil {
			return nil, refuseSyntax(err)
		}
		m.value = value.Clone()
		members = append(members, m)
	}
	if _, err := dec.ReadToken(); err != nil {
		return nil, refuseSyntax(err)
	}
	if _, err := dec.ReadToken(); !errors.Is(err, io.EOF) {
		p := refuse(malformedJSON, "something follows the record at byte %d; send one JSON object alone", dec.InputOffset())
		p.Errors = []fault{{Pointer: new(""), Detail: p.Detail}}
		return nil, p
	}
	return members, nil
}

// mostReread is how many bytes a field may have to be read once more for each of its faults; of a longer one the first is told.
const mostReread = 64 << 10

// decodeFields fills a new record. If that fails it goes through the fields one by one to find every fault, and fills in what
// can be read.
func decodeFields(kind crop.Kind, fields []member) (crop.Record, []crop.Fault) {
	record := crop.New(kind)
	if json.Unmarshal(assemble(fields...), record, bodyOptions) == nil {
		return record, nil
	}
	var faults []crop.Fault
	var good []member
	for _, m := range fields {
		for {
			err := json.Unmarshal(assemble(m), crop.New(kind), bodyOptions)
			if err == nil {
				good = append(good, m)
				break
			}
			f, at := faultOf(err, kind, m)
			if faults = append(faults, f); len(faults) > mostFaults {
				return crop.New(kind), faults
			}
			var left bool
			if len(m.value) > mostReread {
				break
			}
			if m.value, left = without(m.value, at); !left {
				break
			}
		}
	}
	record = crop.New(kind)
	if json.Unmarshal(assemble(good...), record, bodyOptions) != nil { // can't be: each of them was read
		record = crop.New(kind)
	}
	return record, faults
}

func assemble(members ...member) []byte {
	object := []byte{'{'}
	for i, m := range members {
		if i > 0 {
			object = append(object, ',')
		}
		object, _ = jsontext.AppendQuote(object, m.name) // the name was read as valid UTF-8
		object = append(append(object, ':'), m.value...)
	}
	return append(object, '}')
}

func readAside[T any](m member, into **T) []crop.Fault {
	if err := json.Unmarshal(m.value, into); err != nil {
		*into = nil
		f, _ := faultOf(err, "", member{value: m.value})
		f.Pointer = pointerTo(m.name) + f.Pointer
		return []crop.Fault{f}
	}
	return nil
}

// pointerTo is the JSON pointer of a top-level member, escaped as RFC 6901 says.
func pointerTo(name string) string {
	return "/" + strings.ReplaceAll(strings.ReplaceAll(name, "~", "~0"), "/", "~1")
}
