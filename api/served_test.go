package api

import (
	"bytes"
	"fmt"
	"log/slog"
	"mime"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"

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
