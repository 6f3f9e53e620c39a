package charts

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// goldenPage is small enough to be read by a person in full.
func goldenPage() Page {
	return Page{
		Title: "Plant A1", Subtitle: "Amberling", AsOf: "3 Feb 2026", Invented: "Made up for a test.",
		Answer:     []Statement{{Text: "Two ripe fruit are past their hold time.", Severity: Act}},
		KeyFigures: []KeyFigure{{Label: "Standing", Value: "5", Unit: "fruit"}},
		Sections: []Section{
			{Heading: "Past ripe", Sentence: "A1 holds two.", Figure: Bars{Title: "Ripe fruit", Unit: "fruit", Rows: []string{"A1"},
				Series: []BarSeries{{Name: "standing ripe", Tone: ToneRipe, Values: []*float64{num(3)}}}},
				Table: &Table{Caption: "Ripe fruit", Columns: []Column{{Name: "Plant"}, {Name: "Ripe", Unit: "fruit", Numeric: true}}, Rows: [][]string{{"A1", "3"}}}},
			{Heading: "Forecast", Empty: "Too few visits."},
			{Heading: "Others", Links: []Link{{Text: "Plant A2", Href: "/reports/plants/a2", Detail: "Nightglobe"}}},
		},
		RestsOn: []string{"9 visits."}, Cautions: []string{"Certain only if every picking was recorded."},
	}
}

func TestGolden(t *testing.T) {
	var b bytes.Buffer
	if err := WriteServed(&b, goldenPage(), "/assets/"); err != nil {
		t.Fatal(err)
	}
	// Names of assets hold digests, which change with every edit of the script or the style.
	got := regexp.MustCompile(`-[0-9a-f]{12}\.`).ReplaceAll(b.Bytes(), []byte("-DIGEST."))
	path := filepath.Join("testdata", "golden.html")
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("the page differs from %s; if that is meant, run the test with -update and read the difference\ngot:\n%s", path, got)
	}
}

func TestSameInputSameBytes(t *testing.T) {
	first := render(t, samplePage())
	for range 5 {
		if !bytes.Equal(render(t, samplePage()), first) {
			t.Fatal("the same page came out with other bytes")
		}
	}
	if len(first) > 1_500_000 {
		t.Errorf("the sample page has %d bytes, want at most 1.5 MB", len(first))
	}
}

// The policy must name exactly the scripts and the style that are in the file, as a browser hashes them.
func TestPolicyNamesWhatIsInside(t *testing.T) {
	page := string(render(t, samplePage()))
	policy := regexp.MustCompile(`http-equiv="Content-Security-Policy" content="([^"]*)"`).FindStringSubmatch(page)
	if policy == nil {
		t.Fatal("no policy in the page")
	}
	unescaped := strings.NewReplacer("&#39;", "'", "&#43;", "+").Replace(policy[1])
	n := 0
	for _, m := range regexp.MustCompile(`(?s)<(?:script|style)>(.*?)</(?:script|style)>`).FindAllStringSubmatch(page, -1) {
		n++
		if !strings.Contains(unescaped, policyHash(m[1])) {
			t.Errorf("inline text %d is not named in the policy %s", n, unescaped)
		}
	}
	if n != 3 || strings.Count(unescaped, "sha256-") != 3 {
		t.Errorf("got %d inline texts and %d digests, want 3 of each", n, strings.Count(unescaped, "sha256-"))
	}
	if strings.Contains(unescaped, "script-src 'unsafe") || !strings.HasPrefix(unescaped, "default-src 'none'") {
		t.Errorf("policy is not strict: %s", unescaped)
	}
}

func TestNothingIsFetched(t *testing.T) {
	root, err := html.Parse(bytes.NewReader(render(t, namedPage("x"))))
	if err != nil {
		t.Fatal(err)
	}
	for n := range root.Descendants() {
		for _, a := range n.Attr {
			fetches := a.Key == "src" || a.Key == "srcset" || a.Key == "href" && n.Data == "link"
			if fetches && a.Val != "data:," {
				t.Errorf("<%s> would fetch %q", n.Data, a.Val)
			}
		}
	}
}

// The digest is that of the bundle whose making assets/README.md describes.
func TestEmbeddedLibrary(t *testing.T) {
	const want = "ecb7be37d7c6734e81887ead0868ca26d0ef7cce64aaf4cb14d366e5508e16a6"
	plain, err := gunzip(echartsGzip)
	if err != nil {
		t.Fatal(err)
	}
	if sum := sha256.Sum256(plain); hex.EncodeToString(sum[:]) != want {
		t.Errorf("echarts.min.js: got digest %x, want %s", sum, want)
	}
	for _, bad := range []string{"</script", "<!--", "\r"} {
		if bytes.Contains(bytes.ToLower(plain), []byte(bad)) {
			t.Errorf("echarts.min.js holds %q and can't stand inside a page", bad)
		}
	}
	if !bytes.Contains(plain, []byte(`version="`+EChartsVersion+`"`)) && !bytes.Contains(plain, []byte(EChartsVersion)) {
		t.Errorf("echarts.min.js doesn't name version %s", EChartsVersion)
	}
	if len(Notices()) != 4 || !strings.Contains(Notices()[0].Text, "The Apache Software Foundation") {
		t.Errorf("notices: got %v", Notices())
	}
}

func TestAssets(t *testing.T) {
	for _, a := range Assets() {
		plain, err := gunzip(a.Gzip)
		if err != nil || !bytes.Equal(plain, a.Plain()) {
			t.Errorf("%s: the compressed content is not the plain one (%v)", a.Name, err)
		}
		if sum := sha256.Sum256(plain); hex.EncodeToString(sum[:]) != a.SHA256 || !strings.Contains(a.Name, a.SHA256[:12]) {
			t.Errorf("%s: digest %s is not that of the content or not in the name", a.Name, a.SHA256)
		}
		if got, ok := AssetByName(a.Name); !ok || got.SHA256 != a.SHA256 {
			t.Errorf("AssetByName(%s): got %v", a.Name, ok)
		}
	}
	if _, ok := AssetByName("../page.go"); ok {
		t.Error("AssetByName finds what is no asset")
	}
}

func TestCheckFindsFaults(t *testing.T) {
	section := func(change func(*Section)) Page {
		s := Section{Heading: "h", Sentence: "s", Figure: samplePastRipe()}
		change(&s)
		return Page{Title: "t", Sections: []Section{s}}
	}
	table := func(t Table) Page { return section(func(s *Section) { s.Table = &t }) }
	figure := func(f Figure) Page { return section(func(s *Section) { s.Figure = f }) }
	visits := func(n float64) StageAreas {
		return StageAreas{Stages: []Stage{{Name: "red", Ripe: true}}, Visits: []StageVisit{{At: day(0), Standing: []*float64{num(n)}}}}
	}
	for name, c := range map[string]struct {
		page    Page
		want    string
		written bool // the page is written, with a sentence in place of the figure
	}{
		"no title":        {page: Page{}, want: "the page has no title"},
		"no heading":      {page: section(func(s *Section) { s.Heading = "" }), want: `section 1 ("") has no heading`},
		"bad id":          {page: section(func(s *Section) { s.ID = "A b" }), want: `the id "A b" is not`},
		"own id":          {page: section(func(s *Section) { s.ID = "main" }), want: "used by the page itself"},
		"own ending":      {page: section(func(s *Section) { s.ID = "s2-table" }), want: "used by the page itself"},
		"id twice":        {page: Page{Title: "t", Sections: []Section{{Heading: "a", ID: "x"}, {Heading: "b", ID: "x"}}}, want: `section 2 ("b"): the id "x" is used twice`},
		"no sentence":     {page: section(func(s *Section) { s.Sentence = "" }), want: "no sentence"},
		"ragged row":      {page: table(Table{Caption: "c", Columns: []Column{{Name: "a"}}, Rows: [][]string{{"1"}, {"1", "2"}}}), want: "table row 2 has 2 cells for 1 columns"},
		"row links":       {page: table(Table{Caption: "c", Columns: []Column{{Name: "a"}}, Rows: [][]string{{"1"}}, RowLinks: []string{}}), want: "0 row links for 1 rows"},
		"no caption":      {page: table(Table{Columns: []Column{{Name: "a"}}}), want: "no caption"},
		"not a number":    {page: figure(visits(math.NaN())), want: "NaN is not a number of fruit", written: true},
		"infinite":        {page: figure(visits(math.Inf(1))), want: "+Inf is not a number of fruit", written: true},
		"negative":        {page: figure(visits(-1)), want: "-1 is not a number of fruit", written: true},
		"no ripe stage":   {page: figure(StageAreas{Stages: []Stage{{Name: "a"}}, Visits: visits(1).Visits}), want: "no stage is the ripe one", written: true},
		"no visits":       {page: figure(StageAreas{Stages: []Stage{{Name: "a", Ripe: true}}}), want: "no visits", written: true},
		"curve NaN":       {page: figure(Curves{Title: "t", Series: []Curve{{Name: "A", Fit: []Point{{day(0), math.NaN()}}}}}), want: `series "A", curve, point 1 is NaN`, written: true},
		"curve empty":     {page: figure(Curves{Title: "t", Series: []Curve{{Name: "A"}}}), want: "nothing to draw", written: true},
		"band upside":     {page: figure(Curves{Title: "t", Series: []Curve{{Name: "A", Band: []BandPoint{{day(0), 2, 1}}}}}), want: "low 2 is above high 1", written: true},
		"no time":         {page: figure(Curves{Title: "t", Series: []Curve{{Name: "A", Points: []CurvePoint{{Value: 1}}}}}), want: "has no time", written: true},
		"sum falls":       {page: figure(Cumulative{Title: "t", Groups: []YieldLine{{"A", []Point{{day(0), 2}, {day(1), 1}}}}}), want: "can't fall from 2 to 1", written: true},
		"time runs back":  {page: figure(Cumulative{Title: "t", Groups: []YieldLine{{"A", []Point{{day(1), 1}, {day(0), 2}}}}}), want: "earlier than the point before", written: true},
		"plant of nobody": {page: figure(Cumulative{Title: "t", Plants: []PlantLine{{Group: 3}}}), want: "group 3; there are 0 groups", written: true},
		"bar NaN":         {page: figure(Bars{Title: "t", Rows: []string{"A1"}, Series: []BarSeries{{Name: "ripe", Values: []*float64{num(math.NaN())}}}}), want: `row "A1": NaN is not a length`, written: true},
		"bar count":       {page: figure(Bars{Title: "t", Rows: []string{"A1"}, Series: []BarSeries{{Name: "ripe"}}}), want: "0 values for 1 rows", written: true},
	} {
		t.Run(name, func(t *testing.T) {
			err := Check(c.page)
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("Check: got %v, want an error with %q", err, c.want)
			}
			var b bytes.Buffer
			err = WriteFile(&b, c.page)
			if c.written {
				if err != nil || !strings.Contains(b.String(), "This chart could not be drawn: ") {
					t.Errorf("WriteFile: got error %v; want a page that says its chart could not be drawn", err)
				}
			} else if err == nil || b.Len() > 0 {
				t.Errorf("WriteFile: got error %v and %d bytes, want an error and nothing written", err, b.Len())
			}
		})
	}
}

// A stage above one that was not counted has no known height, so it has a gap too; what lies below stays.
func TestUnknownStagesAreGaps(t *testing.T) {
	f := StageAreas{
		Stages: []Stage{{Name: "green"}, {Name: "breaker"}, {Name: "red", Ripe: true}},
		Visits: []StageVisit{{At: day(0), Standing: []*float64{num(5), nil, num(0)}}},
	}
	d, err := f.draw()
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{"red": "0", "breaker": `"-"`, "green": `"-"`}
	for _, s := range d.option["series"].([]any) {
		s := s.(map[string]any)
		datum := s["data"].([]any)[0].(map[string]any)
		value, _ := json.Marshal(datum["value"].([]any)[1])
		if got := string(value); got != want[s["name"].(string)] {
			t.Errorf("%s: got %s, want %s", s["name"], got, want[s["name"].(string)])
		}
		if tip := datum["name"].(string); !strings.Contains(tip, "green: 5") || !strings.Contains(tip, "breaker: not counted") {
			t.Errorf("%s: tooltip %q hides what was counted", s["name"], tip)
		}
	}
}

func TestBarsBeyondLimitAreAnnounced(t *testing.T) {
	rows, values := make([]string, 300), make([]*float64, 300)
	for i := range rows {
		rows[i], values[i] = fmt.Sprintf("P%d", i), num(1)
	}
	d, err := Bars{Title: "t", Rows: rows, Series: []BarSeries{{Name: "ripe", Values: values}}}.draw()
	if err != nil {
		t.Fatal(err)
	}
	if got, want := strings.Join(d.notes, ""), "The chart shows the first 40 of 300 rows; the table has them all."; got != want {
		t.Errorf("notes: got %q, want %q", got, want)
	}
}

func TestDangerousAddressesAreRefused(t *testing.T) {
	p := Page{Title: "t", Nav: []Link{{Text: "a", Href: "javascript:alert(1)"}}, Sections: []Section{{Heading: "h", Links: []Link{{Text: "b", Href: "JaVaScRiPt:alert(2)"}},
		Table: &Table{Caption: "c", Columns: []Column{{Name: "n"}}, Rows: [][]string{{"x"}}, RowLinks: []string{"data:text/html,x"}}}}}
	got := string(render(t, p))
	for _, m := range regexp.MustCompile(`<a[^>]*href="([^"]*)"`).FindAllStringSubmatch(got, -1) {
		if m[1] != "#main" && m[1] != "#ZgotmplZ" {
			t.Errorf("got address %q, want it replaced", m[1])
		}
	}
}

// The chart builder's own page and its marked functions turn text into code; nothing here may use them.
func TestOptionsCarryNoCode(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) == 0 {
		t.Fatalf("no sources: %v", err)
	}
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		source, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, bad := range []string{"FuncOpts", "FuncStripCommentsOpts", ".Render(", "RenderContent", "RenderSnippet", "JSONNotEscaped", "go-echarts/v2/render", "SetEscapeHTML"} {
			if bytes.Contains(source, []byte(bad)) {
				t.Errorf("%s uses %s", name, bad)
			}
		}
	}
}

func TestNumberText(t *testing.T) {
	for _, c := range []struct {
		in   float64
		want string
	}{
		{0, "0"}, {7, "7"}, {-3, "−3"}, {0.5, "0.5"}, {2.34567, "2.346"}, {123.456, "123.5"}, {1234.5, "1235"}, {9999, "9999"},
		{10000, "10\u202f000"}, {1234567, "1\u202f234\u202f567"}, {0.00012345, "0.0001235"}, {math.Copysign(0, -1), "0"},
	} {
		if got := numberText(c.in); got != c.want {
			t.Errorf("numberText(%v): got %q, want %q", c.in, got, c.want)
		}
	}
}

// A page shows the clock of the place, wherever and in whichever zone it is opened.
func TestWallClock(t *testing.T) {
	zone := time.FixedZone("", 9*3600)
	at := time.Date(2026, 2, 3, 0, 30, 0, 0, zone)
	if got, want := wallMillis(at), time.Date(2026, 2, 3, 0, 30, 0, 0, time.UTC).UnixMilli(); got != want {
		t.Errorf("wallMillis: got %d, want %d", got, want)
	}
	if got, want := momentText(at), "3 Feb 2026, 00:30"; got != want {
		t.Errorf("momentText: got %q, want %q", got, want)
	}
	if got, want := momentText(time.Date(2026, 2, 3, 12, 0, 0, 0, zone)), "3 Feb 2026"; got != want {
		t.Errorf("momentText of a day alone: got %q, want %q", got, want)
	}
}

// TestWideBandIsCut: a band many times as high as all that was counted doesn't set the scale, and the page says so.
func TestWideBandIsCut(t *testing.T) {
	at := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
	figure := func(high float64) Curves {
		return Curves{Title: "Red", Unit: "fruit", Series: []Curve{{Name: "A1", BandName: "band",
			Points: []CurvePoint{{At: at, Value: 37}}, Fit: []Point{{at, 37}, {at.AddDate(0, 0, 1), 40}}, Band: []BandPoint{{at, 10, high}, {at.AddDate(0, 0, 1), 10, 50}}}}}
	}
	for _, c := range []struct {
		high float64
		max  any
		note string
	}{
		{79, nil, ""}, {80, nil, ""},
		{451.4, "80", "A band goes on beyond the top of the chart, up to 451 fruit: so little do the counts tell there."},
	} {
		d, err := figure(c.high).draw()
		if err != nil {
			t.Fatal(err)
		}
		got := d.option["yAxis"].(map[string]any)["max"]
		if fmt.Sprint(got) != fmt.Sprint(c.max) || strings.Join(d.notes, " ") != c.note {
			t.Errorf("a band up to %v: the axis ends at %v with the notes %q, want %v and %q", c.high, got, d.notes, c.max, c.note)
		}
	}
}

func BenchmarkWriteFile50Sections(b *testing.B) {
	p := Page{Title: "Fifty sections"}
	sample := samplePage().Sections[:5]
	for i := range 50 {
		s := sample[i%len(sample)]
		s.ID = fmt.Sprintf("s%d", i+1)
		p.Sections = append(p.Sections, s)
	}
	var out bytes.Buffer
	if err := WriteFile(&out, p); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(out.Len()))
	b.ReportAllocs()
	for b.Loop() {
		if err := WriteFile(io.Discard, p); err != nil {
			b.Fatal(err)
		}
	}
}

// TestFrostIsDrawn: temperatures below zero lie within the axis, which otherwise begins at zero.
func TestFrostIsDrawn(t *testing.T) {
	day := time.Date(2026, 1, 5, 12, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		low  float64
		want string
	}{{3, "0"}, {-0.4, "-0.4"}, {-7, "-8"}} {
		f := Curves{Title: "Temperature", Unit: "°C", Series: []Curve{{Name: "Balcony", BandName: "lowest to highest",
			Fit: []Point{{day, 6}, {day.AddDate(0, 0, 1), 5}}, Band: []BandPoint{{day, c.low, 9}, {day.AddDate(0, 0, 1), 2, 8}}}}}
		d, err := f.draw()
		if err != nil {
			t.Fatal(err)
		}
		if got := fmt.Sprint(d.option["yAxis"].(map[string]any)["min"]); got != c.want {
			t.Errorf("lowest %v: the axis begins at %v, want %s", c.low, got, c.want)
		}
	}
}

// TestRoomBesideBars: what stands beside the longest bar has room, on the page and in the picture for paper, also where the bar ends at the axis's end.
func TestRoomBesideBars(t *testing.T) {
	f := Bars{Title: "Ripe fruit", Unit: "fruit", Layout: Nested, Rows: []string{"A1"}, Series: []BarSeries{
		{Name: "standing ripe", Tone: ToneRipe, Values: []*float64{new(20000.0)}},
		{Name: "past ripe", Tone: TonePastRipe, Values: []*float64{new(12000.0)}},
	}}
	d, err := f.draw()
	if err != nil {
		t.Fatal(err)
	}
	const letter = 6.5 // of 12 px, about
	words := f.label(0)
	if right := number64(at(d.option, "grid", "right")); right < letter*float64(len([]rune(words))) {
		t.Errorf("%v px for %q", right, words)
	}
	picture := stillOf(t, f)
	ends := numbersOf(t, picture, `<text x="([0-9.]+)"[^>]*>`+words)
	if len(ends) != 1 || ends[0]+letter*float64(len([]rune(words))) > stillWidth {
		t.Errorf("%q begins at %v of %d", words, ends, stillWidth)
	}
}
