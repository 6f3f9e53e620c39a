package api

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"sync"

	"github.com/gin-gonic/gin"
	"github.com/go-json-experiment/json/jsontext"
)

// apiVersion is the version of the interface; the path has its first number.
const apiVersion = "1.1.0"

// openapi answers the served description, made once from the table of routes and the types.
func (s *server) openapi(c *gin.Context) error {
	if err := parseQuery(c).err(); err != nil {
		return err
	}
	write(c.Writer, http.StatusOK, mediaJSON, s.described().bytes)
	return nil
}

// description is the document and what it was made from.
type description struct {
	routes     []route
	components []component
	bytes      []byte
	asPage     func() ([]byte, error) // the page, made when first asked for
}

func (s *server) describe() func() *description {
	return sync.OnceValue(func() *description {
		d := newComponents()
		all := &description{routes: s.routes(), components: d.components}
		body, err := marshal(all.document())
		if err == nil {
			err = (*jsontext.Value)(&body).Indent(jsontext.WithIndent(" "))
		}
		if err != nil { // it holds only text and numbers of ours
			panic(err)
		}
		all.bytes = body
		all.asPage = sync.OnceValues(all.page)
		return all
	})
}

func (d *description) document() object {
	schemas := object{}
	for _, c := range d.components {
		schemas = append(schemas, entry{c.name, c.schema})
	}
	return object{
		{"openapi", "3.1.0"},
		{"info", object{{"title", "vinetally"}, {"version", apiVersion}, {"summary", "Harvest yield and ripeness of small tomato trials."},
			{"description", conventionsText()}, {"license", object{{"name", "Apache-2.0"}, {"identifier", "Apache-2.0"}}}}},
		{"servers", []any{object{{"url", "/"}, {"description", "This server."}}}},
		{"tags", d.tags()},
		{"paths", d.paths()},
		{"components", object{{"schemas", schemas}, {"parameters", sharedParameters()}, {"responses", d.sharedResponses()}}},
	}
}

func (d *description) tags() []any {
	var tags []any
	seen := map[string]bool{}
	for _, r := range d.routes {
		if !seen[r.doc.tag] {
			seen[r.doc.tag] = true
			tags = append(tags, object{{"name", r.doc.tag}})
		}
	}
	return tags
}

func (d *description) paths() object {
	var paths object
	for _, r := range d.routes {
		method := entry{strings.ToLower(r.method), r.object()}
		at := slices.IndexFunc(paths, func(e entry) bool { return e.name == r.path })
		if at < 0 {
			paths = append(paths, entry{r.path, object{method}})
			continue
		}
		paths[at].value = append(paths[at].value.(object), method)
	}
	return paths
}

// operationID is a name for programs, such as get_v1_counts_id.
func (r *route) operationID() string {
	return strings.ToLower(r.method) + strings.TrimRight(strings.NewReplacer("/", "_", "{", "", "}", "", ".", "_").Replace(r.path), "_")
}

func (r *route) object() object {
	o := object{{"operationId", r.operationID()}, {"summary", r.summary}, {"tags", []string{r.doc.tag}}}
	if r.doc.about != "" {
		o = append(o, entry{"description", r.doc.about})
	}
	if list := r.parameters(); len(list) > 0 {
		var all []any
		for _, p := range list {
			all = append(all, object{{"$ref", "#/components/parameters/" + p.name}})
		}
		o = append(o, entry{"parameters", all})
	}
	if len(r.doc.bodies) > 0 {
		o = append(o, entry{"requestBody", object{{"required", true}, {"content", sentContent(r.doc.bodies)}}})
	}
	return append(o, entry{"responses", r.responses()})
}

// parameters are those of the operation in its order.
func (r *route) parameters() []parameterDoc {
	docs := parameterDocs()
	var all []parameterDoc
	for _, name := range r.doc.parameters {
		at := slices.IndexFunc(docs, func(p parameterDoc) bool { return p.name == name })
		if at < 0 {
			panic(fmt.Sprintf("api: no words for the parameter %q", name)) // a fault of the program, which any test finds
		}
		all = append(all, docs[at])
	}
	return all
}

func sharedParameters() object {
	var o object
	for _, p := range parameterDocs() {
		o = append(o, entry{p.name, p.object()})
	}
	return o
}

// sharedResponses are the problems that operations refer to, by status.
func (d *description) sharedResponses() object {
	var o object
	for _, r := range d.routes {
		for _, group := range r.problems() {
			if name := responseName(group); !slices.ContainsFunc(o, func(e entry) bool { return e.name == name }) {
				o = append(o, entry{name, problemResponse(group)})
			}
		}
	}
	slices.SortFunc(o, func(a, b entry) int { return strings.Compare(a.name, b.name) })
	return o
}

// responseName is such as 404_no-such-record.
func responseName(group []problemKind) string {
	name := fmt.Sprint(group[0].status)
	for _, k := range group {
		name += "_" + k.path
	}
	return name
}

func (p *parameterDoc) object() object {
	s := *p.schema
	about, example := s.about, s.example
	s.about, s.example = "", nil
	return object{{"name", p.name}, {"in", p.in}, {"required", p.required}, {"description", about}, {"schema", &s}, {"example", example}}
}

// content is the ways in which a body is written. A form without a component is text.
func content(forms []form) object {
	var o object
	for _, f := range forms {
		s := &schema{ref: f.component}
		if f.component == "" {
			s = &schema{types: []string{"string"}}
		}
		o = append(o, entry{f.media, object{{"schema", s}}})
	}
	return o
}

// sentContent is content of a body, with an example of what has no component.
func sentContent(forms []form) object {
	o := content(forms)
	for i := range o {
		if o[i].name == mediaCSV {
			o[i].value = append(o[i].value.(object), entry{"example", bulkCSVExample})
		}
	}
	return o
}

const bulkCSVExample = "place,measured_at,air_c\nbalcony,2026-02-03T08:00:00Z,18.5\nbalcony,2026-02-03T08:10:00Z,18.6\n"

func (r *route) responses() object {
	var o object
	for _, a := range r.doc.answers {
		response := object{{"description", a.about}}
		if len(a.headers) > 0 {
			response = append(response, entry{"headers", headers(a.headers)})
		}
		if len(a.forms) > 0 {
			response = append(response, entry{"content", content(a.forms)})
		}
		o = append(o, entry{fmt.Sprint(a.status), response})
	}
	for _, group := range r.problems() {
		o = append(o, entry{fmt.Sprint(group[0].status), object{{"$ref", "#/components/responses/" + responseName(group)}}})
	}
	return o
}

// problems are the operation's problems, those of one status together, by status.
func (r *route) problems() [][]problemKind {
	all := slices.Clone(r.doc.problems)
	if !strings.HasPrefix(r.path, assetBase) {
		all = append(all, misdirected)
	}
	slices.SortStableFunc(all, func(a, b problemKind) int { return cmp.Compare(a.status, b.status) })
	var groups [][]problemKind
	for _, k := range all {
		if n := len(groups); n > 0 && groups[n-1][0].status == k.status {
			if !slices.Contains(groups[n-1], k) {
				groups[n-1] = append(groups[n-1], k)
			}
			continue
		}
		groups = append(groups, []problemKind{k})
	}
	return groups
}

func problemResponse(kinds []problemKind) object {
	var words, types []string
	for _, k := range kinds {
		words = append(words, k.title+" ("+k.uri()+").")
		types = append(types, k.uri())
	}
	status := float64(kinds[0].status)
	o := object{{"description", strings.Join(words, " ")}}
	if kinds[0].status == http.StatusServiceUnavailable {
		o = append(o, entry{"headers", headers([]string{"Retry-After"})})
	}
	narrowed := &schema{allOf: []*schema{{ref: "Problem"}, {fields: []field{
		{"type", false, &schema{enum: types}}, {"status", false, &schema{low: &status, high: &status}}}}}}
	return append(o, entry{"content", object{{"application/problem+json", object{{"schema", narrowed}}}}})
}

func headers(names []string) object {
	var o object
	for _, name := range names {
		s := *headerDocs[name]
		about := s.about
		s.about = ""
		o = append(o, entry{name, object{{"description", about}, {"schema", &s}}})
	}
	return o
}
