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
			if got := browsertest.Eval[int](t, p, `document.querySelectorAll("figure svg").length`); got < 6 {
				t.Errorf("got %d charts drawn, want 6 or more", got)
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
	base := serveDemo(t)
	_, index := get(t, base+"/")
	season := regexp.MustCompile(`/reports/seasons/[0-9a-f-]{36}`).FindString(index)
	_, page := get(t, base+season)
	plant := regexp.MustCompile(`/reports/plants/[0-9a-f-]{36}`).FindString(page)
	for name, path := range map[string]string{"index": "/", "season": season, "plant": plant} {
		for _, s := range browsertest.Screens() {
			t.Run(name+" "+s.String(), func(t *testing.T) {
				p := browsertest.Open(t, browser, s, base+path)
				if name != "index" {
					p.WaitDrawn(t)
				}
				p.KeepShot(t, name+"-served-"+s.String())
				p.WantNoSideways(t)
				p.WantQuietConsole(t)
			})
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
	})
	db, out := scratch(t), filepath.Join(t.TempDir(), "report.html")
	wantDone(t, "import", "--db", db, dir)
	wantDone(t, "report", "--db", db, "--season", hostile, "-o", out)
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(text), hostile) || strings.Contains(string(text), image) {
		t.Error("a hostile name stands in the page as it was typed")
	}
	browser := browsertest.Start(t)
	p := browsertest.Open(t, browser, browsertest.Screen{Width: 1280, Height: 800}, "file://"+out)
	p.WaitDrawn(t)
	if got := browsertest.Eval[string](t, p, `typeof window.pwned`); got != "undefined" {
		t.Errorf("window.pwned is %s: a name ran as a script", got)
	}
	if got := browsertest.Eval[string](t, p, `document.querySelector("h1").textContent`); !strings.Contains(got, hostile) {
		t.Errorf("the heading reads %q, want the name as it was typed", got)
	}
	p.WantQuietConsole(t)
}
