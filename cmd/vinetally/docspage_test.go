package main

import (
	"html"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"vinetally/charts/browsertest"
)

// TestDocsInBrowser opens the documentation as it is served, on every screen: closed as it comes, then with everything
// unfolded. It must ask nobody else for anything, keep its policy (the console would tell), and fit the screen.
func TestDocsInBrowser(t *testing.T) {
	browser := browsertest.Start(t)
	base := started(t, "serve", "--db", scratch(t))
	screens := append(browsertest.Screens(), browsertest.Screen{Width: 320, Height: 640, ScriptsOff: true})
	for path, name := range map[string]string{"/docs": "docs", "/problems/invalid-record": "problem"} {
		for _, s := range screens {
			t.Run(name+" "+s.String(), func(t *testing.T) {
				p := browsertest.Open(t, browser, s, base+path)
				p.WantNoSideways(t)
				unfold(t, p, "#recipe-record-visit\\.sh, #files, #get_v1_counts, #put_v1_counts_id, #schema-CountBody, #schema-LedgerVisit, #schema-Curve, #problem-invalid-record + dd details")
				p.KeepShot(t, name+"-"+s.String()) // of everything unfolded no picture can be taken
				unfold(t, p, "details")
				p.WantNoSideways(t)
				if others := browsertest.Eval[[]string](t, p, `performance.getEntriesByType("resource").map(r => r.name).filter(n => !n.startsWith(location.origin))`); len(others) > 0 {
					t.Errorf("it asks elsewhere for %v", others)
				}
				if pale := browsertest.Eval[[]string](t, p, contrastBelow); len(pale) > 0 {
					t.Errorf("text with a contrast below 4.5 to 1: %v", pale)
				}
				p.WantQuietConsole(t)
			})
		}
	}
}

// contrastBelow lists the texts whose contrast is below 4.5 to 1 (WCAG 2.2, success criterion 1.4.3), of every colour and
// background the first.
const contrastBelow = `(() => {
	const luminance = rgb => rgb.slice(0, 3).map(c => c / 255).map(c => c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4)
		.reduce((sum, c, i) => sum + c * [0.2126, 0.7152, 0.0722][i], 0)
	const numbers = colour => colour.match(/[\d.]+/g).map(Number)
	const behind = e => {
		for (; e; e = e.parentElement) {
			const c = numbers(getComputedStyle(e).backgroundColor)
			if (c.length < 4 || c[3] > 0) return c
		}
		return [255, 255, 255]
	}
	const seen = new Set(), pale = []
	for (const e of document.querySelectorAll("body *")) {
		if (![...e.childNodes].some(n => n.nodeType === Node.TEXT_NODE && n.data.trim())) continue
		const front = numbers(getComputedStyle(e).color), back = behind(e)
		if (seen.has(front + "/" + back)) continue
		seen.add(front + "/" + back)
		const [light, dark] = [luminance(front), luminance(back)].sort((a, b) => b - a)
		if ((light + 0.05) / (dark + 0.05) < 4.5) pale.push(e.textContent.slice(0, 40) + " " + front + " on " + back)
	}
	return pale
})()`

func unfold(t *testing.T, p *browsertest.Tab, selector string) {
	t.Helper()
	browsertest.Eval[int](t, p, "[...document.querySelectorAll("+strconv.Quote(selector)+")].map(d => d.open = true).length")
}

// TestDocsLinks follows every link of the documentation: those within the page must bring their target into view, the
// others lead to an answer.
func TestDocsLinks(t *testing.T) {
	browser := browsertest.Start(t)
	base := started(t, "serve", "--db", scratch(t))
	p := browsertest.Open(t, browser, browsertest.Screen{Width: 390, Height: 844}, base+"/docs")
	unfold(t, p, "details") // else a link in a folded part can't be clicked, as nobody can
	missed := browsertest.Eval[[]string](t, p, `[...document.querySelectorAll('a[href^="#"]')].filter(a => {
		const target = document.getElementById(decodeURIComponent(a.hash.slice(1)))
		a.click()
		const box = target?.getBoundingClientRect()
		const last = scrollY + innerHeight >= document.documentElement.scrollHeight - 1
		return !box || location.hash !== a.hash || !(box.top >= -1 && box.top < (last ? innerHeight : 60))
	}).map(a => a.hash)`)
	if len(missed) > 0 {
		t.Errorf("%d links don't bring their target into view: %.300v", len(missed), missed)
	}
	if n := browsertest.Eval[int](t, p, `document.querySelectorAll('a[href^="#"]').length`); n < 200 {
		t.Errorf("the page has %d links within itself, fewer than it has addresses and schemas", n)
	}
	leave := browsertest.Eval[[]string](t, p, `[...new Set([...document.querySelectorAll('a:not([href^="#"])')].map(a => a.href))]`)
	for _, url := range leave {
		if !strings.HasPrefix(url, base+"/") {
			t.Errorf("a link leads to %s", url)
		} else if r, _ := get(t, url); r.StatusCode != 200 {
			t.Errorf("%s: status %d", url, r.StatusCode)
		}
	}
	if len(leave) < len(recipes)+2 {
		t.Errorf("links to elsewhere: %v", leave)
	}
}

// TestDocsByKeyboard walks through the page with the keyboard alone.
func TestDocsByKeyboard(t *testing.T) {
	browser := browsertest.Start(t)
	base := started(t, "serve", "--db", scratch(t))
	p := browsertest.Open(t, browser, browsertest.Screen{Width: 1280, Height: 800}, base+"/docs")
	press := func(key string) {
		t.Helper()
		if err := chromedp.Do(p.Ctx, chromedp.KeyEvent(key)); err != nil {
			t.Fatal(err)
		}
	}
	press(kb.Tab)
	if got := browsertest.Eval[string](t, p, `document.activeElement.textContent + (document.activeElement.getBoundingClientRect().left >= 0 ? "" : " (out of sight)")`); got != "Skip to the content" {
		t.Fatalf("the first stop is %q", got)
	}
	press(kb.Enter)
	if got := browsertest.Eval[string](t, p, `location.hash`); got != "#content" {
		t.Errorf("skipping leads to %q", got)
	}
	// From the beginning of the content, each stop is the next thing that can be used, in sight and with a mark of focus.
	const stops = `[...document.querySelectorAll("main a, main summary, main [tabindex]")].filter(e => e.checkVisibility())`
	unfolded := false
	for i := range 40 {
		press(kb.Tab)
		if got := browsertest.Eval[int](t, p, stops+`.indexOf(document.activeElement)`); got != i {
			t.Fatalf("stop %d is number %d of the page: %s", i, got, browsertest.Eval[string](t, p, `document.activeElement.outerHTML.slice(0, 200)`))
		}
		if !browsertest.Eval[bool](t, p, `(e => { const b = e.getBoundingClientRect(); return b.top > -1 && b.bottom < innerHeight + 1 || b.height > innerHeight })(document.activeElement)`) {
			t.Errorf("stop %d is out of sight: %s", i, browsertest.Eval[string](t, p, `JSON.stringify(document.activeElement.getBoundingClientRect()) + document.activeElement.outerHTML.slice(0, 200)`))
		}
		if browsertest.Eval[string](t, p, `getComputedStyle(document.activeElement).outlineStyle`) == "none" {
			t.Errorf("stop %d shows no focus: %s", i, browsertest.Eval[string](t, p, `document.activeElement.outerHTML.slice(0, 200)`))
		}
		// The first part to unfold is unfolded with Enter, and the way goes on inside it.
		if !unfolded && browsertest.Eval[string](t, p, `document.activeElement.tagName`) == "SUMMARY" {
			unfolded = true
			press(kb.Enter)
			if !browsertest.Eval[bool](t, p, `document.activeElement.parentElement.open`) {
				t.Error("Enter doesn't unfold it")
			}
		}
	}
	if !unfolded {
		t.Error("none of the stops is a part to unfold")
	}
	p.WantQuietConsole(t)
}

// TestDocumentedFiles holds the files and columns that the documentation and the README list against each other and
// against what export writes.
func TestDocumentedFiles(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	inReadme := pairs(regexp.MustCompile(`(?m)^\| (\w+\.csv) \| (.*) \|$`), string(readme))
	db := scratch(t)
	wantDone(t, "import", "--db", db, demoFolder(t))
	_, page := get(t, started(t, "serve", "--db", db)+"/docs")
	onPage := pairs(regexp.MustCompile(`<dt><code>(\w+\.csv)</code></dt><dd>(.*)</dd>`), page)
	dir := filepath.Join(t.TempDir(), "out")
	wantDone(t, "export", "--db", db, dir)
	files, err := os.ReadDir(dir)
	if err != nil || len(files) != len(onPage) || len(onPage) != len(inReadme) {
		t.Errorf("export writes %d files (%v), the page lists %d, the README %d", len(files), err, len(onPage), len(inReadme))
	}
	for file, columns := range onPage {
		if inReadme[file] != columns {
			t.Errorf("%s: the page lists %q, the README %q", file, columns, inReadme[file])
		}
		text, err := os.ReadFile(filepath.Join(dir, file))
		if err != nil {
			t.Fatal(err)
		}
		header, _, _ := strings.Cut(string(text), "\r\n")
		var listed []string
		for c := range strings.SplitSeq(regexp.MustCompile(`\([^)]*\)|[\[\]]`).ReplaceAllString(columns, ""), ",") {
			if c = strings.TrimSpace(c); c == "one column for each stage" {
				listed = append(listed, "green", "breaker", "turning", "red", "orange") // the stages of the demo trial
			} else {
				listed = append(listed, c)
			}
		}
		written := slices.DeleteFunc(strings.Split(header, ","), func(c string) bool { return c == "id" })
		slices.Sort(listed)
		slices.Sort(written)
		unit := slices.DeleteFunc(slices.Clone(written), func(c string) bool { // of fruit of no plant in particular, told apart
			return (file == "pickings.csv" || file == "losses.csv") && (c == "place" || c == "cultivar")
		})
		if !slices.Equal(listed, unit) {
			t.Errorf("%s: listed are %v, written %v", file, listed, written)
		}
	}
}

func pairs(pattern *regexp.Regexp, text string) map[string]string {
	all := map[string]string{}
	for _, m := range pattern.FindAllStringSubmatch(text, -1) {
		all[m[1]] = html.UnescapeString(m[2])
	}
	return all
}
