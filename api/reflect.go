package api

import (
	"fmt"
	"reflect"
	"strings"
	"time"

	"vinetally/analytics/crop"
)

// describer makes the schemas of Go types, from their json tags and the words of fieldDocs.
type describer struct {
	components []component
	known      map[reflect.Type]string // component names of structs
	lacking    []string                // fields without words or example
}

type component struct {
	name   string
	schema *schema
}

// describe adds a component for a struct. Fields that are structs themselves must have been added before.
func (d *describer) describe(name, about string, t reflect.Type) {
	s := &schema{types: []string{"object"}, about: about, fields: d.fieldsOf(name, t)}
	s.example = d.exampleOf(s.fields)
	d.known[t] = name
	d.add(name, s)
}

func (d *describer) add(name string, s *schema) {
	d.components = append(d.components, component{name, s})
}

// fieldsOf describes the members that a struct is written with. Those that may be left out aren't required.
func (d *describer) fieldsOf(name string, t reflect.Type) []field {
	var fields []field
	for _, f := range reflect.VisibleFields(t) {
		tag, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if tag == "" || tag == "-" {
			continue
		}
		s := d.words(name, tag, d.ofType(f.Type))
		fields = append(fields, field{tag, !strings.Contains(options, "omit"), s})
	}
	return fields
}

// words gives a field's schema what the table says of it. A field that holds another component needs no example of its own.
func (d *describer) words(component, name string, s *schema) *schema {
	doc, ok := fieldDocs[component+"."+name]
	if !ok {
		doc = fieldDocs["*."+name]
	}
	part := s.ref != "" || s.items != nil && s.items.ref != "" || s.anyOf != nil
	if doc.about == "" || doc.example == nil && !part {
		d.lacking = append(d.lacking, component+"."+name)
	}
	s.about, s.least, s.most, s.enum = doc.about, doc.least, doc.most, doc.enum
	s.example = doc.example
	limited := s
	if s.extra != nil { // the numbers under the names have the limits
		limited = s.extra
	}
	limited.low, limited.high, limited.unit = doc.low, doc.high, doc.unit
	return s
}

var (
	timeType   = reflect.TypeFor[time.Time]()
	momentType = reflect.TypeFor[crop.Moment]()
	dateType   = reflect.TypeFor[crop.Date]()
	idType     = reflect.TypeFor[crop.ID]()
)

// ofType is the schema of what a Go type is written as.
func (d *describer) ofType(t reflect.Type) *schema {
	switch t {
	case timeType, momentType:
		return &schema{types: []string{"string"}, format: "date-time"}
	case dateType:
		return &schema{types: []string{"string"}, format: "date"}
	case idType:
		return &schema{types: []string{"string"}, format: "uuid"}
	}
	if name, ok := d.known[t]; ok {
		return &schema{ref: name}
	}
	switch t.Kind() {
	case reflect.Pointer:
		s := d.ofType(t.Elem())
		if s.ref != "" {
			return &schema{anyOf: []*schema{s, {types: []string{"null"}}}}
		}
		s.types = append(s.types, "null")
		return s
	case reflect.Int, reflect.Int64:
		return &schema{types: []string{"integer"}}
	case reflect.Float64:
		return &schema{types: []string{"number"}}
	case reflect.Bool:
		return &schema{types: []string{"boolean"}}
	case reflect.String:
		return &schema{types: []string{"string"}}
	case reflect.Slice:
		return &schema{types: []string{"array"}, items: d.ofType(t.Elem())}
	case reflect.Map:
		return &schema{types: []string{"object"}, extra: d.ofType(t.Elem())}
	case reflect.Struct:
		if numbers, ok := t.FieldByName("numbers"); ok { // byStage
			return &schema{types: []string{"object"}, extra: d.ofType(numbers.Type.Elem())}
		}
	}
	panic(fmt.Sprintf("api: no schema for %s", t)) // a fault of the program, which any test finds
}

// exampleOf puts the examples of required fields together.
func (d *describer) exampleOf(fields []field) any {
	var o object
	for _, f := range fields {
		if example := d.exampleFor(f.schema); f.required && example != nil {
			o = append(o, entry{f.name, example})
		}
	}
	return o
}

func (d *describer) exampleFor(s *schema) any {
	switch {
	case s.example != nil:
		return s.example
	case s.ref != "":
		for _, c := range d.components {
			if c.name == s.ref {
				return c.schema.example
			}
		}
	case s.items != nil:
		return []any{d.exampleFor(s.items)}
	case s.anyOf != nil:
		return d.exampleFor(s.anyOf[0])
	}
	return nil
}
