package charts

import (
	"bytes"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"vinetally/analytics/report"
	"vinetally/charts/browsertest"
)

// wantSeries is how many series the option of each chart of the sample page has: stages and three kinds of marks; for each
// of two curves a band, a line, intervals, points, intervals of times, times; nine plants and three groups; and bars with
// the row that is not known or nought; lives, what lies between two looks, and eight kinds of events; two bands and a line; bars and two signs on each of two panels.
var wantSeries = map[string]int{"stages": 7, "curves": 12, "yield": 12, "past-ripe": 3, "losses": 3, "lives": 10, "fan": 3, "residence": 6}

func TestPageInBrowser(t *testing.T) {
	browser := browsertest.Start(t)
	url := pageFile(t, samplePage())
	for _, s := range browsertest.Screens() {
		t.Run(s.String(), func(t *testing.T) {
			p := browsertest.Open(t, browser, s, url)
			p.WaitDrawn(t)
			p.KeepShot(t, s.String())
			for id, want := range wantSeries {
				host := `document.getElementById("` + id + `-chart")`
				if got := browsertest.Eval[int](t, p, host+`.chart.getOption().series.length`); got != want {
					t.Errorf("chart %s: got %d series, want %d", id, got, want)
				}
				if got := browsertest.Eval[int](t, p, host+`.querySelectorAll("svg path").length`); got < 10 {
					t.Errorf("chart %s: got %d paths, want a drawn chart", id, got)
				}
				if got := coloursIn(t, p, id+"-chart"); got < 4 {
					t.Errorf("chart %s: got %d colours in its picture, want 4 or more", id, got)
				}
			}
			if got := browsertest.Eval[string](t, p, `getComputedStyle(document.body).backgroundColor`); (got == "rgb(252, 251, 247)") == s.Dark {
				t.Errorf("background: got %s with dark %v", got, s.Dark)
			}
			if got, want := browsertest.Eval[int](t, p, `document.documentElement.scrollWidth`), int(s.Width); got > want {
				t.Errorf("the page is %d wide on a screen of %d: it scrolls sideways", got, want)
			}
			if got := browsertest.Eval[int](t, p, `document.querySelectorAll("details[data-fold][open]").length`); got != 0 {
				t.Errorf("got %d open tables beside charts, want none", got)
			}
			p.WantQuietConsole(t)
		})
	}
}

// coloursIn counts the colours of an element's picture that cover at least 20 pixels.
func coloursIn(t *testing.T, p *browsertest.Tab, id string) int {
	t.Helper()
	picture, err := chromedp.Run(p.Ctx, chromedp.Screenshot(chromedp.ID(id)))
	if err != nil {
		t.Fatalf("picture of %s: %v", id, err)
	}
	img, err := png.Decode(bytes.NewReader(picture))
	if err != nil {
		t.Fatal(err)
	}
	seen := map[[3]uint32]int{}
	b := img.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			r, g, bl, _ := img.At(x, y).RGBA()
			seen[[3]uint32{r, g, bl}]++
		}
	}
	n := 0
	for _, pixels := range seen {
		if pixels >= 20 {
			n++
		}
	}
	return n
}

func TestThemeChangeRedraws(t *testing.T) {
	p := browsertest.Open(t, browsertest.Start(t), browsertest.Screen{Width: 1280, Height: 800}, pageFile(t, samplePage()))
	p.WaitDrawn(t)
	const fill = `document.getElementById("stages-chart").chart.getOption().series[0].itemStyle.color`
	light := browsertest.Eval[string](t, p, fill)
	p.SetDark(t, true)
	p.WaitFor(t, fill+` !== "`+light+`"`)
	p.WantQuietConsole(t)
}

func TestResizeRedraws(t *testing.T) {
	p := browsertest.Open(t, browsertest.Start(t), browsertest.Screen{Width: 1280, Height: 800}, pageFile(t, samplePage()))
	p.WaitDrawn(t)
	if err := chromedp.Do(p.Ctx, chromedp.EmulateViewport(390, 844)); err != nil {
		t.Fatal(err)
	}
	p.WaitFor(t, `document.querySelector("#stages-chart svg").getBoundingClientRect().width < 390`)
	if got := browsertest.Eval[int](t, p, `document.documentElement.scrollWidth`); got > 390 {
		t.Errorf("after narrowing, the page is %d wide on a screen of 390", got)
	}
	p.WantQuietConsole(t)
}

func TestScriptsOffShowsTables(t *testing.T) {
	p := browsertest.Open(t, browsertest.Start(t), browsertest.Screen{Width: 390, Height: 844, ScriptsOff: true}, pageFile(t, samplePage()))
	// Evaluation by the debugger works although the page's own scripts don't.
	if got, want := browsertest.Eval[int](t, p, `document.querySelectorAll("details[open] table").length`), 5; got != want {
		t.Errorf("got %d tables in the open, want %d", got, want)
	}
	if !browsertest.Eval[bool](t, p, `document.querySelector("#stages-table tbody td").getBoundingClientRect().height > 0`) {
		t.Error("the cells of the first table take no room")
	}
	if got := browsertest.Eval[string](t, p, `document.querySelector("noscript").innerText`); !strings.Contains(got, "scripts are off") {
		t.Errorf("got notice %q, want one that scripts are off", got)
	}
	if browsertest.Eval[bool](t, p, `document.querySelector(".chart").getBoundingClientRect().height > 0`) {
		t.Error("an empty chart takes room")
	}
	const stills = `[...document.querySelectorAll("svg.still")].filter(s => { const r = s.getBoundingClientRect(); return r.height > 60 && r.right <= 390; }).length`
	if got := browsertest.Eval[int](t, p, stills); got != len(wantSeries) {
		t.Errorf("%d still pictures are seen, want %d", got, len(wantSeries))
	}
	if got := coloursIn(t, p, "stages"); got < 4 {
		t.Errorf("the section of stages has %d colours, want 4 or more", got)
	}
	p.WantQuietConsole(t)
}

// TestTablesOnPhone: where a table's cells stand under each other each names its column, long texts too, and the caption of one that scrolls
// sideways is whole.
func TestTablesOnPhone(t *testing.T) {
	page := SeasonPage(report.Of(smallTrial(), report.Options{NoForecast: true}), ReportLinks{})
	page.Sections = append(page.Sections, Section{Heading: "Texts", Table: &Table{Caption: "A long text in a cell", Stack: true, Columns: []Column{{Name: "Plant"}, {Name: "What to look at"}},
		Rows: [][]string{{"A1", strings.Repeat("a text that goes over several lines ", 6)}}}})
	p := browsertest.Open(t, browsertest.Start(t), browsertest.Screen{Width: 390, Height: 844}, pageFile(t, page))
	p.WaitDrawn(t)
	browsertest.Eval[bool](t, p, `document.querySelectorAll("details").forEach(d => d.open = true) === undefined`)
	const unnamed = `[...document.querySelectorAll(".stack td")].filter(c => !getComputedStyle(c, "::before").content.includes("attr(") && !getComputedStyle(c, "::before").content.includes(c.dataset.label)).length`
	if got := browsertest.Eval[int](t, p, unnamed); got != 0 {
		t.Errorf("%d cells don't name their column", got)
	}
	const cut = `[...document.querySelectorAll("caption span")].filter(c => c.getBoundingClientRect().right > c.closest(".scroll").getBoundingClientRect().right + 1).map(c => c.textContent).join("; ")`
	if got := browsertest.Eval[string](t, p, cut); got != "" {
		t.Errorf("captions that are cut off: %s", got)
	}
	if browsertest.Eval[int](t, p, `document.querySelectorAll("caption span").length`) < 5 || browsertest.Eval[int](t, p, `document.querySelectorAll(".stack td.w").length`) == 0 {
		t.Error("the page has no such tables to look at")
	}
}

func TestTableFilter(t *testing.T) {
	p := browsertest.Open(t, browsertest.Start(t), browsertest.Screen{Width: 390, Height: 844}, pageFile(t, samplePage()))
	p.WaitDrawn(t)
	if err := chromedp.Do(p.Ctx, chromedp.SendKeys(chromedp.ID("plants-table-filter"), "p077")); err != nil {
		t.Fatal(err)
	}
	p.WaitFor(t, `document.querySelector('[data-for="plants-table"] output').textContent === "1 of 120 rows"`)
	const shown = `[...document.querySelectorAll("#plants-table tbody tr")].filter(r => !r.hidden).map(r => r.cells[0].textContent).join()`
	if got := browsertest.Eval[string](t, p, shown); got != "P077" {
		t.Errorf("got rows %q, want P077", got)
	}
}

func TestTooltips(t *testing.T) {
	p := browsertest.Open(t, browsertest.Start(t), browsertest.Screen{Width: 1280, Height: 800}, pageFile(t, samplePage()))
	p.WaitDrawn(t)
	for name, c := range map[string]struct{ chart, action, want string }{
		"visit":      {"stages", `{type: "showTip", seriesIndex: 0, dataIndex: 13}`, "only ripe fruit counted"},
		"at least":   {"stages", `{type: "showTip", seriesIndex: 0, dataIndex: 18}`, "green: at least "},
		"yield":      {"yield", `{type: "showTip", seriesIndex: 9, dataIndex: 3}`, "Amberling: "},
		"not stated": {"past-ripe", `{type: "showTip", seriesIndex: 0, dataIndex: 0}`, "certainly past ripe: 4 fruit"},
	} {
		t.Run(name, func(t *testing.T) {
			host := `document.getElementById("` + c.chart + `-chart")`
			browsertest.Eval[bool](t, p, host+`.chart.dispatchAction(`+c.action+`) || true`)
			p.WaitFor(t, host+`.innerText.includes(`+"`"+c.want+"`"+`)`)
		})
	}
	p.WantQuietConsole(t)
}

func TestPrint(t *testing.T) {
	p := browsertest.Open(t, browsertest.Start(t), browsertest.Screen{Width: 1280, Height: 800, Dark: true}, pageFile(t, samplePage()))
	p.WaitDrawn(t)
	for name, size := range map[string]chromedp.PaperSize{"a4": {Width: 8.27, Height: 11.69}, "letter": {Width: 8.5, Height: 11}} {
		t.Run(name, func(t *testing.T) {
			browsertest.Eval[bool](t, p, `window.printed = null, addEventListener("beforeprint", function () {
				window.printed = document.querySelector("#stages-chart svg").getBoundingClientRect().width; }), true`)
			pdf, err := chromedp.Run(p.Ctx, chromedp.PrintToPDF(chromedp.PDFPaper(size), chromedp.PDFPreferCSSPageSize(), chromedp.PDFPrintBackground()))
			if err != nil {
				t.Fatal(err)
			}
			if dir := os.Getenv("CHARTS_SHOTS"); dir != "" {
				if err := os.WriteFile(filepath.Join(dir, name+".pdf"), pdf, 0o644); err != nil {
					t.Fatal(err)
				}
			}
			// A4 less two margins of 14 mm is 182 mm, which is 688 CSS pixels; Letter leaves 710.
			if got := browsertest.Eval[float64](t, p, `window.printed`); got <= 0 || got > 688 {
				t.Errorf("charts are %v px wide on paper, want up to 688", got)
			}
			p.WaitFor(t, `document.querySelector("#stages-chart svg").getBoundingClientRect().width > 800`)
		})
	}
	p.WantQuietConsole(t)
}
