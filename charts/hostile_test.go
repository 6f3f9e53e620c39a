package charts

import (
	"bytes"
	"maps"
	"net/http"
	"net/http/httptest"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"vinetally/charts/browsertest"
)

// hostile are texts that have broken pages before: out of a script, out of an attribute, into the chart builder's own
// marker for code, into this package's names for functions and colours, out of a template of the chart library.
var hostile = map[string]string{
	"script end":        `</script><script>window.pwned=1</script>`,
	"code marker":       `__f__window.pwned=2__f__`,
	"code marker, long": `__f__function(){window.pwned=3}()__f__`,
	"image":             `<img src=x onerror=window.pwned=4>`,
	"svg":               `<svg/onload=window.pwned=5>`,
	"attribute":         `" onmouseover="window.pwned=6" x="`,
	"single quotes":     `' onfocus='window.pwned=7' autofocus '`,
	"comment":           `<!--<script>`,
	"style end":         `</style><script>window.pwned=8</script>`,
	"title end":         `</title><script>window.pwned=9</script>`,
	"details end":       `</details></table></section><base href="http://invalid.example/">`,
	"function name":     `$fn:band`,
	"colour name":       `$c:ink`,
	"library template":  `{a}{b}{c}{@[0]}{rich|x}`,
	"go template":       `{{.Option}}{{template "swatch"}}`,
	"right to left":     "A\u202e1B\u2067C",
	"newlines":          "A\r\nB\u2028C\u2029D\tE",
	"controls":          "A\x00B\x1b[31mC\u0085",
	"not UTF-8":         "A\xff\xfeB",
	"prototype":         `__proto__`,
	"tip break":         "A" + tipBreak + "<b>B</b>",
	"long":              strings.Repeat("Wolkenkratzertomate", 40),
	"empty":             "",
}

// namedPage puts a text wherever a user's text can come.
func namedPage(s string) Page {
	or := func(fallback string) string {
		if s == "" {
			return fallback
		}
		return s
	}
	return Page{
		Title: or("t"), Subtitle: s, AsOf: s, Invented: s, Footer: s, Language: s,
		Nav:        []Link{{Text: s, Href: "/x", Detail: s}},
		Answer:     []Statement{{Text: s, Severity: Act}},
		KeyFigures: []KeyFigure{{Label: s, Value: s, Unit: or("u"), Detail: or("d")}},
		RestsOn:    []string{s}, Warnings: []string{s}, Cautions: []string{s},
		Sections: []Section{
			{ID: "a", Heading: or("h"), Sentence: or("s"), Notes: []string{s}, Links: []Link{{Text: s, Href: s, Detail: or("d")}},
				Figure: StageAreas{Stages: []Stage{{Name: s}, {Name: s, Ripe: true}}, Basis: s,
					Visits: []StageVisit{{At: day(0), Standing: []*float64{num(3), num(2)}, Note: s}, {At: day(5), Standing: []*float64{num(4), num(3)}, Note: s}},
					Marks:  []Mark{{At: day(1), Fruits: num(2), Detail: s}, {At: day(2), Kind: Lost, Detail: s}}},
				Table: &Table{Caption: or("c"), Columns: []Column{{Name: s, Unit: or("u")}, {Name: s, Unit: or("u"), Numeric: true}}, Rows: [][]string{{s, s}}, RowLinks: []string{or("x")}}},
			{ID: "b", Heading: or("h"), Sentence: or("s"), Figure: Curves{Title: or("t"), Unit: s, Basis: s, Series: []Curve{
				{Name: s, BandName: s, Points: []CurvePoint{{At: day(0), Value: 1, Low: num(0), High: num(2), Note: s}}, Fit: []Point{{day(0), 1}, {day(9), 4}},
					Band: []BandPoint{{day(0), 0, 2}, {day(9), 3, 5}}, Marks: []TimeMark{{Label: s, At: day(4), Value: 2}}},
				{Name: s, Fit: []Point{{day(0), 2}, {day(9), 3}}}}}},
			{ID: "c", Heading: or("h"), Sentence: or("s"), Figure: Cumulative{Title: or("t"), Unit: s, Basis: s,
				Groups: []YieldLine{{s, []Point{{day(0), 1}, {day(3), 4}}}}, Plants: []PlantLine{{YieldLine{s, []Point{{day(0), 1}, {day(3), 2}}}, 0}}}},
			{ID: "d", Heading: or("h"), Sentence: or("s"), Figure: Bars{Title: or("t"), Unit: s, Basis: s, Rows: []string{s, s},
				Series: []BarSeries{{Name: s, Values: []*float64{num(2), nil}}, {Name: s, Values: []*float64{num(1), nil}}}}},
			{ID: "e", Heading: or("h"), Empty: or("e")},
		},
	}
}

func render(t testing.TB, p Page) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteFile(&b, p); err != nil {
		t.Fatalf("WriteFile: %v", err)
	}
	return b.Bytes()
}

// skeleton lists the elements of a page with the names of their attributes, and apart from it the texts of its scripts
// that run.
func skeleton(t testing.TB, page []byte) (elements, scripts []string) {
	t.Helper()
	root, err := html.Parse(bytes.NewReader(page))
	if err != nil {
		t.Fatalf("parsing the page: %v", err)
	}
	for n := range root.Descendants() {
		if n.Type != html.ElementNode {
			continue
		}
		names := []string{n.Data}
		data := false
		for _, a := range n.Attr {
			if a.Key != "class" { // depends on the length of a text
				names = append(names, a.Key)
			}
			data = data || n.Data == "script" && a.Key == "type" && a.Val == "application/json"
		}
		elements = append(elements, strings.Join(names, " "))
		if n.Data == "script" && !data && n.FirstChild != nil {
			scripts = append(scripts, n.FirstChild.Data)
		}
	}
	return elements, scripts
}

func TestHostileTextStaysText(t *testing.T) {
	wantElements, wantScripts := skeleton(t, render(t, namedPage("plain")))
	for name, text := range hostile {
		if text == "" {
			continue // an empty text leaves elements out
		}
		t.Run(name, func(t *testing.T) {
			if err := Check(namedPage(text)); err != nil {
				t.Errorf("Check: %v", err)
			}
			elements, scripts := skeleton(t, render(t, namedPage(text)))
			if !slices.Equal(elements, wantElements) {
				t.Errorf("the page has other elements or attributes than one with a plain name:\ngot  %q\nwant %q", elements, wantElements)
			}
			if !slices.Equal(scripts, wantScripts) {
				t.Error("the page has other scripts than one with a plain name")
			}
		})
	}
	t.Run("empty", func(t *testing.T) {
		if err := Check(namedPage("")); err != nil {
			t.Errorf("Check: %v", err)
		}
		if _, scripts := skeleton(t, render(t, namedPage(""))); !slices.Equal(scripts, wantScripts) {
			t.Error("the page has other scripts than one with a plain name")
		}
	})
}

func FuzzTextStaysText(f *testing.F) {
	for _, text := range hostile {
		f.Add(text)
	}
	// The served form is the same page without the chart library inside, which makes the search fast.
	served := func(t testing.TB, text string) []string {
		var b bytes.Buffer
		if err := WriteServed(&b, namedPage(text), "/assets"); err != nil {
			t.Fatal(err)
		}
		elements, scripts := skeleton(t, b.Bytes())
		return append(elements, scripts...)
	}
	want := served(f, "plain")
	f.Fuzz(func(t *testing.T, text string) {
		if text == "" {
			return
		}
		if got := served(t, text); !slices.Equal(got, want) {
			t.Errorf("the text %q changes the page", text)
		}
	})
}

func TestClean(t *testing.T) {
	for name, c := range map[string]struct{ in, want string }{
		"plain":                 {"Amberling 2 – “früh”", "Amberling 2 – “früh”"},
		"line breaks":           {"a\nb\r\nc\td", "a b  c d"},
		"direction override":    {"a\u202eb\u2066c", "a\ufffdb\ufffdc"},
		"direction mark":        {"a\u200fb", "a\u200fb"},
		"right-to-left letters": {"טומטו", "טומטו"},
		"null and escape":       {"a\x00b\x1b", "a\ufffdb\ufffd"},
		"not UTF-8":             {"a\xffb", "a\ufffdb"},
	} {
		t.Run(name, func(t *testing.T) {
			if got := clean(c.in); got != c.want {
				t.Errorf("clean(%q): got %q, want %q", c.in, got, c.want)
			}
		})
	}
}

// hostilePage has the sections of all hostile texts, and every list of all their pages.
func hostilePage() Page {
	var all Page
	for i, name := range slices.Sorted(maps.Keys(hostile)) {
		p := namedPage(hostile[name])
		all.Title += p.Title
		all.Subtitle += p.Subtitle
		all.Invented += p.Invented
		all.Nav = append(all.Nav, p.Nav...)
		all.Answer = append(all.Answer, p.Answer...)
		all.KeyFigures = append(all.KeyFigures, p.KeyFigures...)
		all.RestsOn = append(all.RestsOn, p.RestsOn...)
		for _, s := range p.Sections {
			s.ID += strconv.Itoa(i)
			all.Sections = append(all.Sections, s)
		}
	}
	return all
}

func TestHostileTextInBrowser(t *testing.T) {
	browser := browsertest.Start(t)
	for name, url := range map[string]string{"file": pageFile(t, hostilePage()), "served": serve(t)(hostilePage())} {
		t.Run(name, func(t *testing.T) {
			p := browsertest.Open(t, browser, browsertest.Screen{Width: 390, Height: 844}, url)
			p.WaitDrawn(t)
			if got, want := browsertest.Eval[int](t, p, `document.querySelectorAll(".chart svg").length`), 4*len(hostile); got != want {
				t.Errorf("got %d drawn charts, want %d", got, want)
			}
			const tips = `[...document.querySelectorAll(".chart")].map(function (host) {
				for (let series = 0; series < host.chart.getOption().series.length; series++) {
					host.chart.dispatchAction({type: "showTip", seriesIndex: series, dataIndex: 0});
				}
				return host.querySelectorAll("img, script, a, b b, base, style").length;
			}).reduce((a, b) => a + b)`
			if got := browsertest.Eval[int](t, p, tips); got != 0 {
				t.Errorf("tooltips have %d elements made from the texts", got)
			}
			for i, text := range slices.Sorted(maps.Keys(hostile)) {
				names := browsertest.Eval[[]string](t, p, `["a", "b", "c", "d"].map(id => String(document.getElementById(id + "`+strconv.Itoa(i)+`-chart").chart.getOption().series[0].name))`)
				for _, got := range names {
					if want := clean(hostile[text]); want != "" && got != want {
						t.Errorf("a series named %q is called %q in the chart", want, got)
					}
				}
			}
			time.Sleep(300 * time.Millisecond) // an image that fails to load would run its script by now
			if got := browsertest.Eval[string](t, p, `typeof window.pwned`); got != "undefined" {
				t.Errorf("a text ran as a script: window.pwned is %s", got)
			}
			if got := browsertest.Eval[int](t, p, `document.documentElement.scrollWidth`); got > 390 {
				t.Errorf("the page is %d wide on a screen of 390", got)
			}
			p.WantQuietConsole(t)
		})
	}
}

// serve starts a server on this machine that sends pages as a program would, and returns a func that publishes one.
func serve(t *testing.T) func(Page) string {
	t.Helper()
	var current []byte
	mux := http.NewServeMux()
	mux.HandleFunc("/page", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Security-Policy", ServedCSP)
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Write(current)
	})
	mux.HandleFunc("/assets/{name}", func(w http.ResponseWriter, r *http.Request) {
		a, ok := AssetByName(r.PathValue("name"))
		if !ok {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("Content-Type", a.ContentType)
		w.Header().Set("X-Content-Type-Options", "nosniff")
		w.Header().Set("Content-Encoding", "gzip")
		w.Write(a.Gzip)
	})
	s := httptest.NewServer(mux)
	t.Cleanup(s.Close)
	return func(p Page) string {
		var b bytes.Buffer
		if err := WriteServed(&b, p, "/assets"); err != nil {
			t.Fatal(err)
		}
		current = b.Bytes()
		return s.URL + "/page"
	}
}

func TestServedPageInBrowser(t *testing.T) {
	browser := browsertest.Start(t)
	for _, s := range []browsertest.Screen{{Width: 390, Height: 844}, {Width: 1280, Height: 800, Dark: true}} {
		t.Run(s.String(), func(t *testing.T) {
			p := browsertest.Open(t, browser, s, serve(t)(samplePage()))
			p.WaitDrawn(t)
			for id, want := range wantSeries {
				if got := browsertest.Eval[int](t, p, `document.getElementById("`+id+`-chart").chart.getOption().series.length`); got != want {
					t.Errorf("chart %s: got %d series, want %d", id, got, want)
				}
			}
			p.WantQuietConsole(t)
		})
	}
}
