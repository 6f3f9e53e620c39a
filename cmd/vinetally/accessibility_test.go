package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"vinetally/charts/browsertest"
)

// barrier is what axe-core calls a violation.
type barrier struct {
	ID, Impact, Help string
	Nodes            []struct{ HTML string }
}

// TestNoBarriers looks at every kind of page with axe-core (WCAG 2.2 A and AA and its best practices): nothing serious or critical may
// keep anybody out, on a phone and on a desk, light and dark.
func TestNoBarriers(t *testing.T) {
	browser, axe := browsertest.Start(t), axeSource(t)
	db := scratch(t)
	wantDone(t, "import", "--db", db, demoFolder(t))
	base := started(t, "serve", "--db", db)
	type named struct{ ID, Name, Label string }
	var season string
	for _, s := range answer[page[named]](t, base+"/v1/seasons").Items {
		if s.Name == autumn {
			season = s.ID
		}
	}
	plants := answer[page[named]](t, base+"/v1/plants?season_id="+season).Items
	if season == "" || len(plants) == 0 {
		t.Fatal("the demo trial isn't there")
	}
	for name, path := range map[string]string{
		"index": "/", "season": "/reports/seasons/" + season, "season ahead": "/reports/seasons/" + season + "?as_of=2026-09-22T20:00:00Z", "plant": "/reports/plants/" + plants[0].ID, "docs": "/docs", "problem": "/reports/seasons/x",
	} {
		for _, s := range browsertest.Screens() {
			if (name == "docs" || name == "problem") && s.Dark { // they have no colours of their own
				continue
			}
			t.Run(name+" "+s.String(), func(t *testing.T) {
				p := browsertest.Open(t, browser, s, base+path)
				if strings.HasPrefix(name, "season") || name == "plant" {
					p.WaitDrawn(t)
				}
				for _, b := range barriers(t, p, axe) {
					var nodes []string
					for _, n := range b.Nodes {
						nodes = append(nodes, n.HTML)
					}
					words := strings.Join(nodes, "\n  ")
					if len(words) > 800 {
						words = words[:800] + "…"
					}
					if b.Impact == "serious" || b.Impact == "critical" {
						t.Errorf("%s (%s): %s at %d places:\n  %s", b.ID, b.Impact, b.Help, len(b.Nodes), words)
					} else {
						t.Logf("%s (%s): %s at %d places:\n  %s", b.ID, b.Impact, b.Help, len(b.Nodes), words)
					}
				}
			})
		}
	}
}

func axeSource(t *testing.T) string {
	t.Helper()
	axe, err := os.ReadFile("../../charts/browsertest/testdata/axe.min.js")
	if err != nil {
		t.Fatal(err)
	}
	return string(axe)
}

func barriers(t *testing.T, p *browsertest.Tab, axe string) (found []barrier) {
	t.Helper()
	browsertest.Eval[bool](t, p, axe+"; true")
	browsertest.Eval[bool](t, p, `axe.run(document, {resultTypes: ["violations"]}).then(r => { window.barriers = JSON.stringify(r.violations) }, e => { window.barriers = "failed: " + e }); true`)
	p.WaitFor(t, `typeof window.barriers === "string"`)
	text := browsertest.Eval[string](t, p, `window.barriers`)
	if err := json.Unmarshal([]byte(text), &found); err != nil {
		t.Fatalf("%v: %.300s", err, text)
	}
	return found
}

// TestBarriersAreFound checks that a page with barriers is told, so that none found means something.
func TestBarriersAreFound(t *testing.T) {
	browser, axe := browsertest.Start(t), axeSource(t)
	dir := folder(t, map[string]string{"bad.html": `<!DOCTYPE html><html><title>bad</title><main><h1>x</h1><img src="data:,"><input><p style="color:#ccc;background:#fff">hardly to be read</p></main>`})
	p := browsertest.Open(t, browser, browsertest.Screens()[0], "file://"+filepath.Join(dir, "bad.html"))
	found := map[string]bool{}
	for _, b := range barriers(t, p, axe) {
		found[b.ID] = b.Impact == "serious" || b.Impact == "critical"
	}
	for _, id := range []string{"image-alt", "label", "color-contrast", "html-has-lang"} {
		if !found[id] {
			t.Errorf("%s wasn't found, of %v", id, found)
		}
	}
}
