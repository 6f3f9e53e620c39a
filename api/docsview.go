package api

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json/jsontext"

	"vinetally/analytics/crop"
)

type docsView struct {
	Title, Style string
	Recipes      []docsRecipes
	Conventions  []struct{ Title, Text string }
	Groups       []docsGroup
	Schemas      []docsSchema
	Problems     []docsProblem
}

type docsRecipes struct {
	ID, Title, About string
	Recipes          []docsRecipe
}

type docsRecipe struct{ ID, Title, About, Run, File, Address, Text string }

func newDocsRecipes(g recipeGroup) docsRecipes {
	all := docsRecipes{ID: g.id, Title: g.title, About: g.about}
	for _, r := range g.recipes {
		all.Recipes = append(all.Recipes, docsRecipe{"recipe-" + r.file, r.title, r.about, r.run, r.file, r.address(), r.shown()})
	}
	return all
}

type docsGroup struct {
	Name   string
	Routes []docsRoute
}

type docsRoute struct {
	ID, Method, Path, Summary, About, Curl string
	Parameters                             []docsField
	Bodies                                 []docsForm
	Answers                                []docsAnswer
	Problems                               []docsProblem
}

type docsForm struct{ Media, Ref, Example string }

type docsAnswer struct {
	Status         int
	About, Headers string
	Bodies         []docsForm
}

type docsSchema struct {
	Name, About, Example string
	Fields               []docsField
}

type docsField struct {
	Name, Mark string // Mark says whether it may be missing
	Type, Ref  string
	OrNull     bool // of a Ref
	Limits     string
	About      string
	Example    string
}

// page renders the description.
func (d *description) page() ([]byte, error) {
	v := docsView{Title: "vinetally: REST interface", Style: assetBase + "/" + docsStyleName()}
	for _, g := range recipeGroups() {
		v.Recipes = append(v.Recipes, newDocsRecipes(g))
	}
	for _, c := range conventions() {
		v.Conventions = append(v.Conventions, struct{ Title, Text string }{c.title, c.text})
	}
	for i := range d.routes {
		r := &d.routes[i]
		at := -1
		for k := range v.Groups {
			if v.Groups[k].Name == r.doc.tag {
				at = k
			}
		}
		if at < 0 {
			v.Groups, at = append(v.Groups, docsGroup{Name: r.doc.tag}), len(v.Groups)
		}
		v.Groups[at].Routes = append(v.Groups[at].Routes, d.docsRoute(r))
	}
	slices.SortStableFunc(v.Groups, func(a, b docsGroup) int { return cmp.Compare(groupRank(a.Name), groupRank(b.Name)) })
	for _, c := range d.components {
		v.Schemas = append(v.Schemas, docsSchema{Name: c.name, About: c.schema.about, Example: pretty(c.schema.example), Fields: docsFields(c)})
	}
	for _, k := range problemKinds() {
		v.Problems = append(v.Problems, newDocsProblem(k))
	}
	var b bytes.Buffer
	err := docsTemplate.ExecuteTemplate(&b, "docs", v)
	return b.Bytes(), err
}

// groupRank orders the groups of the page: the records in the order in which they refer to each other, then what is done
// with many of them, then the rest.
func groupRank(name string) int {
	order := append(slices.Clone(crop.Kinds()), "sync", "analytics", "pages", "service")
	return slices.Index(order, crop.Kind(name))
}

func (d *description) docsRoute(r *route) docsRoute {
	out := docsRoute{ID: r.operationID(), Method: r.method, Path: r.path, Summary: r.summary, About: r.doc.about, Bodies: docsBodies(r.doc.bodies), Curl: d.curl(r)}
	for _, p := range r.parameters() {
		f := docsFieldOf(p.name, p.schema)
		f.Mark = mark(p.required, true)
		out.Parameters = append(out.Parameters, f)
	}
	for _, a := range r.doc.answers {
		out.Answers = append(out.Answers, docsAnswer{a.status, a.about, strings.Join(a.headers, ", "), docsForms(a.forms)})
	}
	for _, group := range r.problems() {
		for _, k := range group {
			out.Problems = append(out.Problems, newDocsProblem(k))
		}
	}
	return out
}

func docsForms(forms []form) (all []docsForm) {
	for _, f := range forms {
		all = append(all, docsForm{Media: f.media, Ref: f.component})
	}
	return all
}

// docsBodies are forms of what is sent; what has no schema has an example.
func docsBodies(forms []form) []docsForm {
	all := docsForms(forms)
	for i := range all {
		if all[i].Media == mediaCSV {
			all[i].Example = bulkCSVExample
		}
	}
	return all
}

// docsFields are the fields of a component. Those of a body that are ignored are one line.
func docsFields(c component) (all []docsField) {
	var ignored []string
	about := ""
	for _, f := range c.schema.fields {
		if f.schema.readOnly {
			ignored, about = append(ignored, f.name), f.schema.about
			continue
		}
		d := docsFieldOf(f.name, f.schema)
		d.Mark = mark(f.required, c.sent())
		all = append(all, d)
	}
	if ignored != nil {
		all = append(all, docsField{Name: strings.Join(ignored, ", "), About: about, Type: "ignored"})
	}
	return all
}

// sent tells whether clients send the component, or only get it.
func (c component) sent() bool {
	return strings.HasSuffix(c.name, "Body") || c.name == "SyncItem" || c.name == "BulkReading"
}

// mark says what isn't usual: of what is sent that it is needed, of an answer that it may be missing.
func mark(required, sent bool) string {
	switch {
	case sent && required:
		return "needed"
	case !sent && !required:
		return "may be missing"
	}
	return ""
}

func docsFieldOf(name string, s *schema) docsField {
	f := docsField{Name: name, About: s.about, Limits: strings.Join(limitsOf(s), "; ")}
	f.Type, f.Ref = inWordsOf(s)
	if f.Ref != "" && f.Type == "null" {
		f.Type, f.OrNull = "", true
	}
	if text, ok := s.example.(string); ok {
		f.Example = text
	} else if s.example != nil {
		f.Example = compact(s.example)
	}
	return f
}

// inFull writes a number without an exponent.
func inFull(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func limitsOf(s *schema) (limits []string) {
	limited := s
	if s.extra != nil {
		limited = s.extra
	}
	unit := ""
	if limited.unit != "" {
		unit = " " + limited.unit
	}
	switch {
	case limited.low != nil && limited.high != nil && *limited.high < largestWhole:
		limits = append(limits, fmt.Sprintf("%s to %s%s", inFull(*limited.low), inFull(*limited.high), unit))
	case limited.low != nil:
		limits = append(limits, fmt.Sprintf("%s or more%s", inFull(*limited.low), unit))
	case unit != "":
		limits = append(limits, "in"+unit)
	}
	switch {
	case s.most != nil && s.items == nil:
		limits = append(limits, fmt.Sprintf("up to %d characters", *s.most))
	case s.most != nil && s.least != nil:
		limits = append(limits, fmt.Sprintf("%d to %d items", *s.least, *s.most))
	case s.most != nil:
		limits = append(limits, fmt.Sprintf("up to %d items", *s.most))
	}
	if len(s.enum) > 1 {
		limits = append(limits, "one of "+strings.Join(s.enum, ", "))
	}
	return limits
}

// inWordsOf names a type, and the component it holds if any.
func inWordsOf(s *schema) (words, ref string) {
	switch {
	case s.ref != "":
		return "", s.ref
	case s.items != nil:
		words, ref = inWordsOf(s.items)
		if words != "" && ref != "" { // of one or the other
			words += " or"
		}
		return strings.TrimSpace("list of " + words), ref
	case s.readOnly:
		return "ignored", ""
	case len(s.types) == 0 || s.anyOf != nil && s.format == "" && s.anyOf[0].ref != "" || s.anyOf != nil && s.types[0] != "string":
		var parts []string
		for _, one := range s.anyOf {
			w, r := inWordsOf(one)
			if w != "" {
				parts = append(parts, w)
			}
			if r != "" {
				ref = r
			}
		}
		return strings.Join(parts, " or "), ref
	}
	names := map[string]string{"string": "text", "integer": "whole number", "number": "number", "boolean": "true or false", "array": "list", "object": "object", "null": "null"}
	formats := map[string]string{"date-time": "time", "date": "day", "uuid": "UUID"}
	var parts []string
	for _, t := range s.types {
		w := names[t]
		if t == "string" && s.format != "" {
			w = formats[s.format]
		}
		if t == "string" && s.anyOf != nil {
			w = "time or day"
		}
		if t == "object" && s.extra != nil {
			w = "object with a value for each name"
		}
		parts = append(parts, w)
	}
	return strings.Replace(strings.Join(parts, " or "), "true or false or", "true, false or", 1), ""
}

func pretty(v any) string {
	body, err := marshal(v)
	if err == nil {
		err = (*jsontext.Value)(&body).Indent(jsontext.WithIndent("  "))
	}
	if err != nil { // examples are ours
		panic(err)
	}
	return string(body)
}

func compact(v any) string {
	body, err := marshal(v)
	if err != nil { // examples are ours
		panic(err)
	}
	return strings.Trim(string(body), `"`)
}

// curl is a line that sends an example of a request to a server on this machine.
func (d *description) curl(r *route) string {
	path := r.path
	var query, sent []string
	for _, p := range r.parameters() {
		example := compact(p.schema.example)
		switch {
		case p.in == "path":
			path = strings.Replace(path, "{"+p.name+"}", example, 1)
		case p.name == "limit" || p.name == "as_of" || p.name == "hold_days":
			query = append(query, p.name+"="+example)
		case p.name == actorHeader && r.method != "GET":
			sent = append(sent, "-H "+quoted(actorHeader+": "+example))
		}
	}
	if len(query) > 0 {
		path += "?" + strings.Join(query, "&")
	}
	line := "curl -s"
	if r.method != "GET" && (r.method != "POST" || len(r.doc.bodies) == 0) {
		line += " -X " + r.method
	}
	line += " " + quoted("http://127.0.0.1:8780"+path)
	for _, h := range sent {
		line += " \\\n  " + h
	}
	if len(r.doc.bodies) > 0 {
		b := r.doc.bodies[0]
		line += " \\\n  -H " + quoted("Content-Type: "+b.media)
		for _, c := range d.components {
			if c.name == b.component {
				body, err := marshal(c.schema.example)
				if err != nil { // examples are ours
					panic(err)
				}
				line += " \\\n  -d " + quoted(string(body))
			}
		}
	}
	return line
}

// quoted puts a word in single quotes for the shell.
func quoted(s string) string { return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'" }
