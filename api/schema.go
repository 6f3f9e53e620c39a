package api

import (
	"math"
	"slices"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// object is a JSON object whose members keep their order.
type object []entry

type entry struct {
	name  string
	value any
}

// MarshalJSONTo writes the object.
func (o object) MarshalJSONTo(enc *jsontext.Encoder) error {
	if err := enc.WriteToken(jsontext.BeginObject); err != nil {
		return err
	}
	for _, e := range o {
		if err := enc.WriteToken(jsontext.String(e.name)); err != nil {
			return err
		}
		if err := json.MarshalEncode(enc, e.value); err != nil {
			return err
		}
	}
	return enc.WriteToken(jsontext.EndObject)
}

// schema is a JSON Schema (draft 2020-12) as OpenAPI 3.1 has it; only what this API needs of it. The page and the document
// are both made from it.
type schema struct {
	ref      string // name of a component
	types    []string
	format   string
	about    string
	unit     string // of a number
	enum     []string
	low      *float64
	high     *float64
	least    *int // characters of text, items of a list
	most     *int
	items    *schema
	fields   []field
	extra    *schema // of the members of an object that have no fixed names
	anyOf    []*schema
	allOf    []*schema
	example  any
	readOnly bool
}

// field is a named member of an object.
type field struct {
	name     string
	required bool
	schema   *schema
}

func (s *schema) nullable() bool { return slices.Contains(s.types, "null") }

// MarshalJSONTo writes the schema.
func (s *schema) MarshalJSONTo(enc *jsontext.Encoder) error {
	return json.MarshalEncode(enc, s.object())
}

func (s *schema) object() object {
	var o object
	add := func(name string, value any, given bool) {
		if given {
			o = append(o, entry{name, value})
		}
	}
	add("$ref", "#/components/schemas/"+s.ref, s.ref != "")
	if len(s.types) == 1 {
		add("type", s.types[0], true)
	} else {
		add("type", s.types, len(s.types) > 0)
	}
	add("format", s.format, s.format != "")
	add("description", s.about, s.about != "")
	add("x-unit", s.unit, s.unit != "")
	if s.enum != nil && s.nullable() {
		var all []any
		for _, v := range s.enum {
			all = append(all, v)
		}
		add("enum", append(all, nil), true)
	} else {
		add("enum", s.enum, s.enum != nil)
	}
	add("minimum", bound(s.low), s.low != nil)
	add("maximum", bound(s.high), s.high != nil)
	if s.items != nil {
		add("minItems", s.least, s.least != nil)
		add("maxItems", s.most, s.most != nil)
		add("items", s.items, true)
	} else {
		add("minLength", s.least, s.least != nil)
		add("maxLength", s.most, s.most != nil)
	}
	if s.fields != nil {
		var members object
		var required []string
		for _, f := range s.fields {
			members = append(members, entry{f.name, f.schema})
			if f.required {
				required = append(required, f.name)
			}
		}
		add("properties", members, true)
		add("required", required, required != nil)
		add("additionalProperties", false, s.extra == nil && s.allOf == nil && s.types != nil)
	}
	add("additionalProperties", s.extra, s.extra != nil)
	add("anyOf", s.anyOf, s.anyOf != nil)
	add("allOf", s.allOf, s.allOf != nil)
	add("readOnly", true, s.readOnly)
	add("examples", []any{s.example}, s.example != nil)
	return o
}

// bound writes whole numbers without an exponent.
func bound(x *float64) any {
	if x == nil || *x != math.Trunc(*x) {
		return x
	}
	return int64(*x)
}
