package api

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/go-json-experiment/json/jsontext"
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

// ParameterTable is the parameters for the table's template.
func (r docsRoute) ParameterTable() docsTable {
	return docsTable{"Parameters of " + r.Method + " " + r.Path, r.Parameters}
}

type docsTable struct {
	Label  string
	Fields []docsField
}

type docsForm struct{ Media, Ref string }

type docsAnswer struct {
	Status         int
	About, Headers string
	Bodies         []docsForm
}

type docsSchema struct {
	Name, About, Example string
	Fields               []docsField
}

// Table is the fields for the table's template.
func (s docsSchema) Table() docsTable { return docsTable{"Fields of " + s.Name, s.Fields} }

type docsField struct {
	Name, Type, Ref, Limits, About, Example string
	Required                                bool
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
	for _, c := range d.components {
		v.Schemas = append(v.Schemas, docsSchema{Name: c.name, About: c.schema.about, Example: pretty(c.schema.example), Fields: docsFields(c.schema.fields)})
	}
	for _, k := range problemKinds() {
		v.Problems = append(v.Problems, newDocsProblem(k))
	}
	var b bytes.Buffer
	err := docsTemplate.ExecuteTemplate(&b, "docs", v)
	return b.Bytes(), err
}

func (d *description) docsRoute(r *route) docsRoute {
	out := docsRoute{ID: r.operationID(), Method: r.method, Path: r.path, Summary: r.summary, About: r.doc.about, Bodies: docsForms(r.doc.bodies), Curl: d.curl(r)}
	for _, p := range r.parameters() {
		f := docsFieldOf(p.name, p.schema)
		f.Required = p.required
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
		all = append(all, docsForm{f.media, f.component})
	}
	return all
}

func docsFields(fields []field) (all []docsField) {
	for _, f := range fields {
		d := docsFieldOf(f.name, f.schema)
		d.Required = f.required
		all = append(all, d)
	}
	return all
}

func docsFieldOf(name string, s *schema) docsField {
	f := docsField{Name: name, About: s.about}
	f.Type, f.Ref = inWordsOf(s)
	var limits []string
	limited := s
	if s.extra != nil {
		limited = s.extra
	}
	if limited.low != nil && limited.high != nil && *limited.high < largestWhole {
		limits = append(limits, fmt.Sprintf("%v to %v", bound(limited.low), bound(limited.high)))
	} else if limited.low != nil {
		limits = append(limits, fmt.Sprintf("at least %v", bound(limited.low)))
	}
	if limited.unit != "" {
		limits = append(limits, limited.unit)
	}
	if s.most != nil && s.items == nil {
		limits = append(limits, fmt.Sprintf("up to %d characters", *s.most))
	} else if s.most != nil {
		limits = append(limits, fmt.Sprintf("up to %d items", *s.most))
	}
	if s.enum != nil {
		limits = append(limits, strings.Join(s.enum, ", "))
	}
	f.Limits = strings.Join(limits, "; ")
	if s.example != nil {
		f.Example = compact(s.example)
	}
	return f
}

// inWordsOf names a type, and the component it holds if any.
func inWordsOf(s *schema) (words, ref string) {
	switch {
	case s.ref != "":
		return "", s.ref
	case s.items != nil:
		words, ref = inWordsOf(s.items)
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
			w = "object by name"
		}
		parts = append(parts, w)
	}
	return strings.Join(parts, " or "), ""
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
