package charts

import (
	"bytes"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"vinetally/analytics/report"
)

// What a reader with a keyboard or a screen reader relies on: WCAG 2.2, 1.1.1 (text alternatives), 1.3.1 (headings and
// table headers), 2.1.1 (scrolling by keyboard), 2.4.1 (a way past the top), 3.1.1 (language), 4.1.2 (names).
func TestStructure(t *testing.T) {
	root, err := html.Parse(bytes.NewReader(render(t, samplePage())))
	if err != nil {
		t.Fatal(err)
	}
	ids := map[string]bool{}
	for n := range root.Descendants() {
		if id := attr(n, "id"); id != "" {
			if ids[id] {
				t.Errorf("the id %q is there twice", id)
			}
			ids[id] = true
		}
	}
	level, titles := 0, 0
	for n := range root.Descendants() {
		if n.Type != html.ElementNode {
			continue
		}
		for _, ref := range []string{"aria-labelledby", "for", "data-for", "data-chart"} {
			if id := attr(n, ref); id != "" && !ids[id] {
				t.Errorf("<%s %s> points to %q, which isn't there", n.Data, ref, id)
			}
		}
		switch n.Data {
		case "html":
			if got := attr(n, "lang"); got != "en" {
				t.Errorf("language: got %q, want en", got)
			}
		case "h1", "h2", "h3", "h4":
			next := int(n.Data[1] - '0')
			if next > level+1 {
				t.Errorf("<%s> follows a heading of level %d", n.Data, level)
			}
			if level = next; next == 1 {
				titles++
			}
		case "a":
			if href := attr(n, "href"); strings.HasPrefix(href, "#") && !ids[href[1:]] {
				t.Errorf("a link leads to %q, which isn't there", href)
			}
		case "th":
			if attr(n, "scope") == "" {
				t.Error("a table heading has no scope")
			}
		case "svg":
			if attr(n, "aria-hidden") != "true" {
				t.Error("a decorative drawing is not hidden from screen readers")
			}
		case "input":
			if !ids[attr(n, "id")] {
				t.Error("an input has no id for its label")
			}
		}
		if strings.HasPrefix(attr(n, "class"), "scroll") && (attr(n, "tabindex") != "0" || attr(n, "aria-label") == "" || attr(n, "role") != "region") {
			t.Error("a scrolling region can't be reached by keyboard or has no name")
		}
		if attr(n, "role") == "img" && len(attr(n, "aria-label")) < 20 {
			t.Errorf("a chart's text alternative is %q", attr(n, "aria-label"))
		}
	}
	if titles != 1 {
		t.Errorf("got %d headings of the first level, want 1", titles)
	}
}

func attr(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

// TestOrderOfTheEnd: a report ends with what it rests on, warnings, methods and cautions.
func TestOrderOfTheEnd(t *testing.T) {
	page := string(render(t, SeasonPage(report.Of(smallTrial(), report.Options{}), ReportLinks{})))
	last := 0
	for _, id := range []string{"answer", "rests-on", "warnings", MethodsID, "cautions"} {
		at := strings.Index(page, `id="`+id+`"`)
		if at < last {
			t.Errorf("%s stands at %d, before what should come before it", id, at)
		}
		last = at
	}
}
