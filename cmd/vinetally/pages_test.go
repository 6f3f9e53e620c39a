package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"vinetally/charts/browsertest"
)

// TestReportFileInBrowser opens the demo's report from disk, in a browser that reaches no network.
func TestReportFileInBrowser(t *testing.T) {
	browser := browsertest.Start(t)
	dir := t.TempDir()
	wantDone(t, "demo", "--once", "--dir", dir)
	url := "file://" + filepath.Join(dir, "report.html")
	for _, s := range browsertest.Screens() {
		t.Run(s.String(), func(t *testing.T) {
			p := browsertest.Open(t, browser, s, url)
			p.WaitDrawn(t)
			p.KeepShot(t, "season-file-"+s.String())
			wantCharts(t, p, 9)
			if got := browsertest.Eval[int](t, p, `performance.getEntriesByType("resource").length`); got != 0 {
				t.Errorf("the file asks for %d other things, want none", got)
			}
			p.WantNoSideways(t)
			p.WantQuietConsole(t)
		})
	}
	t.Run("scripts off", func(t *testing.T) {
		p := browsertest.Open(t, browser, browsertest.Screen{Width: 390, Height: 844, ScriptsOff: true}, url)
		if got := browsertest.Eval[int](t, p, `[...document.querySelectorAll("table")].filter(t => t.checkVisibility()).length`); got < 6 {
			t.Errorf("got %d visible tables without scripts, want 6 or more", got)
		}
		p.WantNoSideways(t)
	})
}

// TestServedPagesInBrowser opens the index, a season's and a plant's report as they are served.
func TestServedPagesInBrowser(t *testing.T) {
	browser := browsertest.Start(t)
	base := started(t, "demo", "--dir", t.TempDir())
	_, index := get(t, base+"/")
	season := regexp.MustCompile(`/reports/seasons/[0-9a-f-]{36}`).FindString(index)
	_, page := get(t, base+season)
	plant := regexp.MustCompile(`/reports/plants/[0-9a-f-]{36}`).FindString(page)
	for name, path := range map[string]string{"index": "/", "season": season, "plant": plant} {
		for _, s := range browsertest.Screens() {
			t.Run(name+" "+s.String(), func(t *testing.T) {
				p := browsertest.Open(t, browser, s, base+path)
				p.WaitDrawn(t)
				wantCharts(t, p, map[string]int{"season": 9, "plant": 3}[name])
				p.KeepShot(t, name+"-served-"+s.String())
				p.WantNoSideways(t)
				p.WantQuietConsole(t)
			})
		}
	}
}

// TestDaysHaveOneForm reads every page of the demo: a reader meets days as 3 Feb 2026, never as 2026-02-03 or with the month
// spelt out.
func TestDaysHaveOneForm(t *testing.T) {
	base := started(t, "demo", "--dir", t.TempDir())
	paths := map[string]bool{"/": true}
	link := regexp.MustCompile(`/reports/(seasons|plants)/[0-9a-f-]{36}`)
	_, index := get(t, base+"/")
	for _, season := range link.FindAllString(index, -1) {
		paths[season] = true
		_, page := get(t, base+season)
		for _, plant := range link.FindAllString(page, -1) {
			paths[plant] = true
		}
	}
	if len(paths) < 25 {
		t.Errorf("found %d pages, want the index, 2 seasons and 23 plants", len(paths))
	}
	markup := regexp.MustCompile(`(?s)<script.*?</script>|<style.*?</style>|<svg.*?</svg>|<[^>]*>`)
	day := regexp.MustCompile(`\b\d{4}-\d\d-\d\d\b|\b\d{1,2} (January|February|March|April|June|July|August|September|October|November|December)\b`)
	good := regexp.MustCompile(`\b\d{1,2} (Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec) \d{4}\b`)
	for path := range paths {
		_, page := get(t, base+path)
		text := markup.ReplaceAllString(page[strings.Index(page, "<body"):], " ")
		if found := day.FindAllString(text, 3); found != nil {
			t.Errorf("%s has days in another form: %q", path, found)
		}
		if !good.MatchString(text) {
			t.Errorf("%s has no day at all", path)
		}
	}
}

// TestHostileNames imports names that try to break out of the page and checks that they are shown and do nothing.
func TestHostileNames(t *testing.T) {
	const hostile = `</script><script>window.pwned=1</script>`
	const image = `<img src=x onerror=window.pwned=2>`
	dir := folder(t, map[string]string{
		"plants.csv": "season,place,cultivar,plant,sown_on\n" + `"` + hostile + `","` + image + `","__f__window.pwned=3__f__","` + hostile + `",2026-03-01` + "\n",
		"counts.csv": "season,plant,counted_at,green,breaker,turning,red\n" + `"` + hostile + `","` + hostile + `",2026-05-01,9,1,1,1` + "\n",
		"diary.csv":  "season,plant,noted_at,kind,note\n" + `"` + hostile + `","` + hostile + `",2026-05-01,note,"` + hostile + image + `"` + "\n",
	})
	path := filepath.Join(t.TempDir(), "records.db")
	db, out := "sqlite:"+path, filepath.Join(t.TempDir(), "report.html")
	wantDone(t, "import", "--db", db, dir)
	wantDone(t, "report", "--db", db, "--season", hostile, "-o", out)
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(text), hostile) || strings.Contains(string(text), image) {
		t.Error("a hostile name stands in the page as it was typed")
	}
	base := started(t, "serve", "--db", db)
	_, index := get(t, base+"/")
	season := regexp.MustCompile(`/reports/seasons/[0-9a-f-]{36}`).FindString(index)
	_, page := get(t, base+season)
	plant := regexp.MustCompile(`/reports/plants/[0-9a-f-]{36}`).FindString(page)
	browser := browsertest.Start(t)
	for name, c := range map[string]struct{ url, show string }{
		"file":   {"file://" + out, `document.querySelector("h1").textContent`},
		"index":  {base + "/", `document.querySelector("section a").textContent`},
		"season": {base + season, `document.querySelector("h1").textContent`},
		"plant":  {base + plant, `document.querySelector("h1").textContent`},
		"note":   {base + plant, `[...document.querySelectorAll("td")].map(c => c.textContent).find(s => s.includes("<img")) || ""`},
	} {
		t.Run(name, func(t *testing.T) {
			p := browsertest.Open(t, browser, browsertest.Screen{Width: 390, Height: 844}, c.url)
			p.WaitDrawn(t)
			if got := browsertest.Eval[string](t, p, c.show); !strings.Contains(got, hostile) {
				t.Errorf("the page shows %q, want the name as it was typed", got)
			}
			// The names of charts are drawn, and shown when a finger rests on them.
			browsertest.Eval[bool](t, p, `[...document.querySelectorAll("[data-chart]")].every(h => h.chart.dispatchAction({type: "showTip", seriesIndex: 0, dataIndex: 0}) || true)`)
			if got := browsertest.Eval[string](t, p, `typeof window.pwned`); got != "undefined" {
				t.Errorf("window.pwned is %s: a name ran as a script", got)
			}
			if got := browsertest.Eval[int](t, p, `document.querySelectorAll("img").length`); got != 0 {
				t.Errorf("a name made %d pictures", got)
			}
			p.WantNoSideways(t)
			p.WantQuietConsole(t)
		})
	}
}

// wantCharts fails the test unless the page has at least so many charts, each of them drawn with lines or areas.
func wantCharts(t *testing.T, p *browsertest.Tab, want int) {
	t.Helper()
	hosts := browsertest.Eval[int](t, p, `document.querySelectorAll("[data-chart]").length`)
	drawn := browsertest.Eval[int](t, p, `[...document.querySelectorAll("[data-chart]")].filter(h => h.querySelectorAll("svg path").length >= 10).length`)
	if hosts < want || drawn != hosts {
		t.Errorf("%d of %d charts are drawn, want all and at least %d", drawn, hosts, want)
	}
}
