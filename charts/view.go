package charts

import (
	"encoding/json"
	"fmt"
	"html/template"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// view is the page as the template wants it: every text cleaned, every anchor set.
type view struct {
	Language, Title, Subtitle, AsOf, Invented, Footer string

	Policy      string
	StyleHref   string
	ScriptHrefs []string
	Style       template.CSS
	Scripts     []template.JS

	Nav        []Link
	Answer     []statementView
	KeyFigures []keyFigureView
	Contents   bool
	Sections   []sectionView
	Lists      []listView // after the sections, unless they stand before the last one
	Last       []listView

	HasCharts, HasKey bool
	EChartsVersion    string
}

type statementView struct{ Class, Tag, Text string }

type keyFigureView struct{ Class, Tag, Label, Value, Unit, Detail string }

type sectionView struct {
	ID, Heading, Sentence, Empty, Fault string

	Before     []listView
	Chart      *chartView
	ChartNotes []string
	Table      *tableView
	Links      []Link
	Notes      []string
}

type chartView struct {
	ID, Label, Caption string
	Height             int
	Rigid              bool
	Key                []keyEntry
	Option             json.RawMessage
	Still              template.HTML // the same without a script
}

type tableView struct {
	ID, Caption, Count string
	Fold, Filter       bool
	Stack              bool
	Class              string
	Columns            []Column
	Rows               [][]cellView
}

// cellView is a cell of a table. Label, the name of its column, is set in tables that a narrow screen stacks.
type cellView struct {
	Text, Href, Label string
	Head              bool
	Class             string
}

// The classes of cells. A number has none, because most cells are numbers.
const (
	textCell = "t" // not broken over lines
	longCell = "w"
)

type listView struct {
	ID, Heading string
	Items       []string
}

// Pages of more sections than this get a list of contents, tables of more rows a search field; shorter cells stay on one line.
const (
	contentsFrom = 4
	filterFrom   = 16
	shortCell    = 24
	// styledColumns is up to which column report.css has classes for text columns.
	styledColumns = 9
)

var languageTag = regexp.MustCompile(`^[A-Za-z]{2,8}(-[A-Za-z0-9]{1,8})*$`)

func newView(p Page) (view, error) {
	if err := checkStructure(p); err != nil {
		return view{}, fmt.Errorf("page %q: %w", p.Title, err)
	}
	v := view{
		Language: p.Language, Title: clean(p.Title), Subtitle: clean(p.Subtitle), AsOf: clean(p.AsOf),
		Invented: clean(p.Invented), Footer: clean(p.Footer), Nav: cleanLinks(p.Nav),
		Contents: len(p.Sections) >= contentsFrom, EChartsVersion: EChartsVersion,
	}
	if !languageTag.MatchString(v.Language) {
		v.Language = "en"
	}
	for _, s := range p.Answer {
		class, tag := severityView(s.Severity)
		v.Answer = append(v.Answer, statementView{class, tag, clean(s.Text)})
	}
	for _, k := range p.KeyFigures {
		class, tag := severityView(k.Severity)
		v.KeyFigures = append(v.KeyFigures, keyFigureView{class, tag, clean(k.Label), clean(k.Value), clean(k.Unit), clean(k.Detail)})
	}
	for i, s := range p.Sections {
		section, err := newSectionView(sectionID(i, s), s)
		if err != nil {
			return view{}, fmt.Errorf("page %q: %s: %w", p.Title, sectionName(i, s), err)
		}
		v.HasCharts = v.HasCharts || section.Chart != nil
		v.Sections = append(v.Sections, section)
	}
	v.HasKey = v.HasCharts
	for _, l := range []listView{
		{"rests-on", "What this rests on", p.RestsOn},
		{"warnings", "Warnings", p.Warnings},
		{"cautions", "Cautions", p.Cautions},
	} {
		if len(l.Items) > 0 {
			l.Items = cleanAll(l.Items)
			if l.ID == "cautions" {
				v.Last = append(v.Last, l)
			} else {
				v.Lists = append(v.Lists, l)
			}
		}
	}
	// Methods are read by who already knows what the numbers rest on.
	if n := len(v.Sections); n > 0 && v.Sections[n-1].ID == MethodsID {
		v.Sections[n-1].Before, v.Lists = v.Lists, nil
	}
	return v, nil
}

func severityView(s Severity) (class, tag string) {
	switch s {
	case Act:
		return "act", "Act now"
	case Look:
		return "look", "Look"
	}
	return "plain-severity", ""
}

func newSectionView(id string, s Section) (sectionView, error) {
	v := sectionView{
		ID: id, Heading: clean(s.Heading), Sentence: clean(s.Sentence), Empty: clean(s.Empty),
		Links: cleanLinks(s.Links), Notes: cleanAll(s.Notes),
	}
	if s.Figure != nil {
		d, err := s.Figure.draw()
		if err != nil {
			v.Fault = clean(err.Error())
		} else {
			option, err := json.Marshal(d.option)
			if err != nil {
				return sectionView{}, fmt.Errorf("chart option: %w", err)
			}
			v.Chart = &chartView{ID: id + "-chart", Label: v.Sentence, Caption: joinSentences(d.caption, basisText(d.basis)), Height: d.height, Rigid: d.rigid, Option: option}
			if s.Table != nil {
				v.Chart.Label = joinSentences(v.Sentence, "The table below has the figures.")
			}
			v.Chart.Still = stillPicture(d, id+"-still", v.Chart.Label)
			for _, k := range d.key {
				k.Label = clean(k.Label)
				v.Chart.Key = append(v.Chart.Key, k)
			}
			v.ChartNotes = cleanAll(d.notes)
		}
	}
	if s.Table != nil {
		v.Table = newTableView(id+"-table", *s.Table)
		v.Table.Fold = v.Chart != nil
	}
	return v, nil
}

func newTableView(id string, t Table) *tableView {
	v := &tableView{ID: id, Caption: clean(t.Caption), Filter: len(t.Rows) >= filterFrom, Stack: t.Stack}
	v.Count = strconv.Itoa(len(t.Rows)) + " rows"
	if len(t.Rows) == 1 {
		v.Count = "1 row"
	}
	for _, c := range t.Columns {
		v.Columns = append(v.Columns, Column{Name: clean(c.Name), Unit: clean(c.Unit), Numeric: c.Numeric})
	}
	texts := textColumns(t)
	v.Class = tableClass(t, texts)
	v.Rows = make([][]cellView, len(t.Rows))
	for r, row := range t.Rows {
		cells := make([]cellView, len(row))
		for c, text := range row {
			cells[c] = cellView{Text: bound(clean(text)), Head: c == 0, Class: heatClass(t, c, text, cellClass(text, c == 0 || t.Columns[c].Numeric || texts[c]))}
			if t.Stack {
				cells[c].Label = titled(v.Columns[c].Name, v.Columns[c].Unit)
			}
		}
		if t.RowLinks != nil {
			cells[0].Href = t.RowLinks[r]
		}
		v.Rows[r] = cells
	}
	return v
}

// textColumns tells which columns hold short texts alone. The style sheet aligns them by their position, so that their
// cells need no class of their own; it knows the first few.
func textColumns(t Table) []bool {
	is := make([]bool, len(t.Columns))
	for c := 1; c < min(len(t.Columns), styledColumns); c++ {
		is[c] = !t.Columns[c].Numeric && !slices.ContainsFunc(t.Rows, func(row []string) bool { return long(row[c]) })
	}
	return is
}

// tableClass names the text columns as report.css does, the first being t1.
func tableClass(t Table, texts []bool) string {
	var classes []string
	if t.Stack {
		classes = append(classes, "stack")
	}
	for c, text := range texts {
		if text {
			classes = append(classes, textCell+strconv.Itoa(c+1))
		}
	}
	return strings.Join(classes, " ")
}

// heatLevels is how many shades there are.
const heatLevels = 4

// heatClass is the shade of a cell, or its class without one.
func heatClass(t Table, column int, text, class string) string {
	n, err := strconv.Atoi(text)
	if t.Heat <= 0 || !t.Columns[column].Numeric || err != nil || n <= 0 {
		return class
	}
	return fmt.Sprintf("heat-%d", max(1, min(heatLevels, (n*heatLevels+t.Heat-1)/t.Heat)))
}

// cellClass is the class of one cell; a plain one is a number, a row's head or in a text column.
func cellClass(text string, plain bool) string {
	switch {
	case long(text):
		return longCell
	case plain:
		return ""
	}
	return textCell
}

func long(text string) bool { return utf8.RuneCountInString(text) > shortCell }

func cleanLinks(links []Link) []Link {
	out := make([]Link, len(links))
	for i, l := range links {
		out[i] = Link{Text: clean(l.Text), Href: l.Href, Detail: clean(l.Detail)}
	}
	return out
}

func basisText(basis string) string {
	if basis == "" {
		return ""
	}
	return "Rests on " + clean(basis)
}

// joinSentences joins texts with full stops between them.
func joinSentences(texts ...string) string {
	out := ""
	for _, t := range texts {
		if t == "" {
			continue
		}
		if out != "" {
			out += " "
		}
		out += t
		if last := t[len(t)-1]; last != '.' && last != '!' && last != '?' {
			out += "."
		}
	}
	return out
}
