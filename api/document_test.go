package api

import (
	"bytes"
	"encoding/json"
	"fmt"
	"log/slog"
	"mime"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// served is the document as a client gets it, and what other people's libraries make of it: kin-openapi reads it as
// OpenAPI 3.1, santhosh-tekuri/jsonschema its schemas as JSON Schema draft 2020-12, formats asserted.
var served = sync.OnceValue(func() *servedDocument {
	h := New(Config{Store: newMemory(), Logger: slog.New(slog.DiscardHandler), Hosts: testHosts})
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequest("GET", "http://vinetally.test/openapi.json", nil))
	d := &servedDocument{bytes: w.Body.Bytes(), schemas: map[string]*jsonschema.Schema{}}
	d.parsed, d.err = openapi3.NewLoader().LoadFromData(d.bytes)
	root, err := jsonschema.UnmarshalJSON(bytes.NewReader(d.bytes))
	if d.err == nil {
		d.err = err
	}
	d.compiler = jsonschema.NewCompiler()
	d.compiler.DefaultDraft(jsonschema.Draft2020)
	d.compiler.AssertFormat()
	if err := d.compiler.AddResource(documentURL, root); d.err == nil {
		d.err = err
	}
	return d
})

const documentURL = "http://vinetally.test/openapi.json"

type servedDocument struct {
	bytes    []byte
	parsed   *openapi3.T
	err      error
	mu       sync.Mutex
	compiler *jsonschema.Compiler
	schemas  map[string]*jsonschema.Schema
}

// schema compiles the schema at a JSON pointer of the document.
func (d *servedDocument) schema(parts ...string) (*jsonschema.Schema, error) {
	at := "#"
	for _, p := range parts {
		at += "/" + strings.NewReplacer("~", "~0", "/", "~1", "{", "%7B", "}", "%7D", "+", "%2B").Replace(p)
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if s, ok := d.schemas[at]; ok {
		return s, nil
	}
	s, err := d.compiler.Compile(documentURL + at)
	if err == nil {
		d.schemas[at] = s
	}
	return s, err
}

// operation finds the documented operation that a request meets, as gin would route it.
func (d *servedDocument) operation(method, path string) (template string, o *openapi3.Operation) {
	if method == http.MethodHead {
		method = http.MethodGet
	}
	segments := strings.Split(path, "/")
	best := -1
	for candidate, item := range d.parsed.Paths.Map() {
		parts := strings.Split(candidate, "/")
		if len(parts) != len(segments) || item.GetOperation(method) == nil {
			continue
		}
		fixed := 0
		for i, part := range parts {
			switch {
			case part == segments[i]:
				fixed++
			case !strings.HasPrefix(part, "{") || segments[i] == "" && i == len(parts)-1:
				fixed = -1000
			}
		}
		if fixed > best {
			best, template, o = fixed, candidate, item.GetOperation(method)
		}
	}
	if best < 0 {
		return "", nil
	}
	return template, o
}

// check holds an answer against the document and returns what doesn't agree.
func (d *servedDocument) check(method, path string, r reply) error {
	if d.err != nil {
		return d.err
	}
	template, o := d.operation(method, path)
	if o == nil {
		if r.status == http.StatusNotFound || r.status == http.StatusMethodNotAllowed || r.status == http.StatusForbidden {
			return d.checkBody(r, "components", "schemas", "Problem")
		}
		return fmt.Errorf("status %d at an address that the document doesn't have", r.status)
	}
	status := fmt.Sprint(r.status)
	response := o.Responses.Value(status)
	if response == nil {
		return fmt.Errorf("%s %s answered %s, which the document doesn't list: %.200s", method, template, status, r.body)
	}
	for name := range response.Value.Headers {
		if name != "Retry-After" && r.header.Get(name) == "" {
			return fmt.Errorf("%s %s answered %s without the header %s", method, template, status, name)
		}
	}
	if len(response.Value.Content) == 0 {
		if r.body != "" {
			return fmt.Errorf("%s %s answered %s with a body that the document doesn't have", method, template, status)
		}
		return nil
	}
	media, _, err := mime.ParseMediaType(r.header.Get("Content-Type"))
	if err != nil || response.Value.Content[media] == nil {
		return fmt.Errorf("%s %s answered %s as %q, which the document doesn't list", method, template, status, r.header.Get("Content-Type"))
	}
	if method == http.MethodHead || !strings.HasSuffix(media, "json") || r.header.Get("Content-Encoding") != "" {
		return nil
	}
	if shared, ok := strings.CutPrefix(response.Ref, "#/components/responses/"); ok {
		return d.checkBody(r, "components", "responses", shared, "content", media, "schema")
	}
	return d.checkBody(r, "paths", template, strings.ToLower(strings.Replace(method, "HEAD", "GET", 1)), "responses", status, "content", media, "schema")
}

func (d *servedDocument) checkBody(r reply, pointer ...string) error {
	s, err := d.schema(pointer...)
	if err != nil {
		return err
	}
	value, err := jsonschema.UnmarshalJSON(strings.NewReader(r.body))
	if err != nil {
		return err
	}
	if err := s.Validate(value); err != nil {
		return fmt.Errorf("%w\n%.500s", err, r.body)
	}
	return nil
}

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

// TestDocumentedLimits sends values at and beyond each limit that the document tells of a record's numbers and texts, and
// holds what the server says against it.
func TestDocumentedLimits(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	for _, s := range samples() {
		name, _ := recordComponent(s.kind)
		for _, f := range componentNamed(t, name+"Body").fields {
			for _, probe := range probes(f.schema) {
				if f.name == "base_version" || f.name == "stage" || f.name == "ripe_stage" { // must be names of stages, whose length is limited there
					continue
				}
				var body map[string]any
				if err := json.Unmarshal([]byte(lab.fill(s.body)), &body); err != nil {
					t.Fatal(err)
				}
				body[f.name] = probe.value
				sent, err := json.Marshal(body)
				if err != nil {
					t.Fatal(err)
				}
				r := c.do("POST", "/v1/"+string(s.kind), string(sent))
				refused := r.status == 422 && refusedAsBeyond.MatchString(r.body)
				if refused != probe.beyond {
					t.Errorf("%s.%s = %.60v: refused %v, want %v: status %d %.300s", name, f.name, probe.value, refused, probe.beyond, r.status, r.body)
				}
			}
		}
	}
}

// refusedAsBeyond is how a limit is told, whatever other rules a probe breaks.
var refusedAsBeyond = regexp.MustCompile(`it must be|characters; it may have at most|is not a (grade|cause|kind)`)

type probe struct {
	value  any
	beyond bool
}

func probes(s *schema) (all []probe) {
	step := 1.0
	if s.low != nil {
		all = append(all, probe{*s.low, false}, probe{*s.low - step, true})
	}
	if s.high != nil {
		all = append(all, probe{*s.high, false}, probe{*s.high + step, true})
	}
	if s.most != nil && s.items == nil {
		all = append(all, probe{strings.Repeat("é", *s.most), false}, probe{strings.Repeat("é", *s.most+1), true})
	}
	if s.enum != nil {
		for _, v := range s.enum {
			all = append(all, probe{v, false})
		}
		all = append(all, probe{"none of these", true})
	}
	return all
}

func componentNamed(t *testing.T, name string) *schema {
	t.Helper()
	for _, c := range newComponents().components {
		if c.name == name {
			return c.schema
		}
	}
	t.Fatalf("there is no component %s", name)
	return nil
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
