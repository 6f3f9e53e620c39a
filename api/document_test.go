package api

import (
	"bytes"
	"log/slog"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

func TestDocumentIsOpenAPI(t *testing.T) {
	d := served()
	if d.err != nil {
		t.Fatal(d.err)
	}
	if !d.parsed.IsOpenAPI31OrLater() {
		t.Errorf("openapi is %q, want 3.1", d.parsed.OpenAPI)
	}
	if err := d.parsed.Validate(t.Context()); err != nil { // examples against their schemas too
		t.Error(err)
	}
	for name := range d.parsed.Components.Schemas {
		if _, err := d.schema("components", "schemas", name); err != nil {
			t.Errorf("%s is no JSON Schema: %v", name, err)
		}
	}
	for _, remote := range []string{"http://", "https://", "<script"} {
		if bytes.Contains(d.bytes, []byte(remote)) {
			t.Errorf("the document has %q in it", remote)
		}
	}
}

func TestDocumentIsTheSameEveryTime(t *testing.T) {
	for range 3 {
		w := httptest.NewRecorder()
		New(Config{Store: newMemory(), Logger: slog.New(slog.DiscardHandler), Hosts: testHosts}).ServeHTTP(w, httptest.NewRequest("GET", "/openapi.json", nil))
		if !bytes.Equal(w.Body.Bytes(), served().bytes) {
			t.Fatal("two servers describe themselves with different bytes")
		}
	}
}

// TestDocumentHasEveryRoute holds the document against the table of routes, in both directions.
func TestDocumentHasEveryRoute(t *testing.T) {
	s := &server{}
	routed := map[string]bool{}
	for _, r := range s.routes() {
		routed[r.method+" "+r.path] = true
		item := served().parsed.Paths.Value(r.path)
		if item == nil || item.GetOperation(r.method) == nil {
			t.Errorf("%s %s is not in the document", r.method, r.path)
			continue
		}
		o := item.GetOperation(r.method)
		if o.Summary == "" || len(o.Tags) != 1 || o.Responses.Len() < 2 {
			t.Errorf("%s %s lacks a summary, a tag, an answer or a problem", r.method, r.path)
		}
		for _, part := range strings.Split(r.path, "/") {
			if name, ok := strings.CutPrefix(part, "{"); ok && o.Parameters.GetByInAndName("path", strings.TrimSuffix(name, "}")) == nil {
				t.Errorf("%s %s: the document lacks the parameter %s", r.method, r.path, part)
			}
		}
	}
	ids := map[string]bool{}
	for path, item := range served().parsed.Paths.Map() {
		for method, o := range item.Operations() {
			if !routed[method+" "+path] {
				t.Errorf("the document has %s %s, which isn't routed", method, path)
			}
			if ids[o.OperationID] || o.OperationID == "" {
				t.Errorf("%s %s: operationId %q is taken or empty", method, path, o.OperationID)
			}
			ids[o.OperationID] = true
		}
	}
}

// TestEveryFieldIsDescribed: a field without words and an example, or words without a field, is a fault.
func TestEveryFieldIsDescribed(t *testing.T) {
	d := newComponents()
	slices.Sort(d.lacking)
	for _, name := range slices.Compact(d.lacking) {
		t.Errorf("%s lacks a description or an example", name)
	}
	fields := map[string]bool{}
	for _, c := range d.components {
		for _, f := range c.schema.fields {
			fields[strings.TrimSuffix(c.name, "Body")+"."+f.name] = true
			fields[c.name+"."+f.name] = true
			fields["*."+f.name] = true
			s := f.schema
			if numeric := slices.Contains(s.types, "integer") || slices.Contains(s.types, "number"); numeric && !s.readOnly && s.about == "" {
				t.Errorf("%s.%s is a number without words", c.name, f.name)
			}
		}
		if c.schema.about == "" || c.schema.example == nil {
			t.Errorf("%s lacks a description or an example", c.name)
		}
	}
	for name := range fieldDocs {
		if !fields[name] {
			t.Errorf("%s is described but no component has it", name)
		}
	}
}

// TestEveryQuantityHasItsUnit: numbers that are counts of something or measured say of what, those without a unit are listed.
func TestEveryQuantityHasItsUnit(t *testing.T) {
	plain := []string{"version", "base_version", "status", "line", "truss", "level", "aicc", "weight", "own_weight"}
	for _, c := range newComponents().components {
		for _, f := range c.schema.fields {
			s := f.schema
			if s.extra != nil {
				s = s.extra
			}
			if (slices.Contains(s.types, "integer") || slices.Contains(s.types, "number")) && s.unit == "" && !slices.Contains(plain, f.name) &&
				f.name != "parameters" && f.name != "standard_errors" {
				t.Errorf("%s.%s has no unit", c.name, f.name)
			}
		}
	}
}

// TestProblemsAreDocumented: every kind of problem can be met somewhere in the document, but those that no route has.
func TestProblemsAreDocumented(t *testing.T) {
	text := string(served().bytes)
	for _, k := range problemKinds() {
		if k == methodNotAllowed || k == tooLittleRecorded || k == noFit {
			continue // of no route: the method isn't there; analytics tell refusals in their answers
		}
		if !strings.Contains(text, `"`+k.uri()+`"`) {
			t.Errorf("%s stands at no operation", k.uri())
		}
	}
}

// TestBodyExamples: what the document gives as an example of a body is taken as it stands, and the samples of the tests are
// valid by the document.
func TestBodyExamples(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	ids := strings.NewReplacer(exampleSeason, lab.season, examplePlace, lab.place, exampleCultivar, lab.cultivar, examplePlant, lab.plant)
	for _, s := range samples() {
		name, _ := recordComponent(s.kind)
		schema, err := served().schema("components", "schemas", name+"Body")
		if err != nil {
			t.Fatal(err)
		}
		for _, body := range []string{bodyExamples[s.kind], s.body, s.replaced} {
			value, err := jsonschema.UnmarshalJSON(strings.NewReader(lab.fill(body)))
			if err != nil {
				t.Fatal(err)
			}
			if err := schema.Validate(value); err != nil {
				t.Errorf("%s: %s isn't valid by the document: %v", name, body, err)
			}
		}
		body := strings.NewReplacer(`"name": "balcony"`, `"name": "another balcony"`, `"name": "Pip"`, `"name": "another Pip"`, `"label": "A1"`, `"label": "A9"`).Replace(bodyExamples[s.kind])
		c.want(201, "POST", "/v1/"+string(s.kind), ids.Replace(body))
	}
}
