package api

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// TestExamplesAreValid holds every example of the served document, wherever it stands, against the schema beside it (JSON
// Schema draft 2020-12, formats asserted), and demands one of every component, property, parameter and header.
func TestExamplesAreValid(t *testing.T) {
	d := served()
	root, err := jsonschema.UnmarshalJSON(bytes.NewReader(d.bytes))
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	var walk func(node any, at []string)
	walk = func(node any, at []string) {
		switch node := node.(type) {
		case []any:
			for i, part := range node {
				walk(part, append(slices.Clone(at), fmt.Sprint(i)))
			}
		case map[string]any:
			if examples, ok := node["examples"].([]any); ok { // of a schema
				for _, example := range examples {
					found++
					checkExample(t, d, example, at)
				}
			}
			if example, ok := node["example"]; ok { // of a parameter or body
				found++
				checkExample(t, d, example, append(slices.Clone(at), "schema"))
			}
			for _, name := range slices.Sorted(maps.Keys(node)) {
				if name != "examples" && name != "example" {
					walk(node[name], append(slices.Clone(at), name))
				}
			}
		}
	}
	walk(root, nil)

	want := len(parameterDocs())
	for _, c := range newComponents().components {
		want++
		for _, f := range c.schema.fields {
			if f.schema.example != nil {
				want++
			}
		}
	}
	if found < want {
		t.Errorf("%d examples stand in the document, want %d or more", found, want)
	}
}

func checkExample(t *testing.T, d *servedDocument, example any, at []string) {
	t.Helper()
	s, err := d.schema(at...)
	if err != nil {
		t.Errorf("%v: %v", at, err)
		return
	}
	if err := s.Validate(example); err != nil {
		t.Errorf("the example %v at %v is not valid by its schema: %v", example, at, err)
	}
}
