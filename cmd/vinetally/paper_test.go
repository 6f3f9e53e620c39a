package main

import (
	"path/filepath"
	"testing"

	"vinetally/charts/browsertest"
)

// papers are what is left of a sheet between margins of 14 mm, in CSS pixels of 1/96 inch: A4 (ISO 216) is 210 by 297 mm, Letter
// (ANSI/ASME Y14.1) 8.5 by 11 inches.
var papers = map[string]struct{ wide, high int64 }{"A4": {688, 1016}, "Letter": {710, 950}}

// TestReportsOnPaper lays out the reports of a season, a plant and a range of days as they are printed. No chart is cut: each fits on a
// sheet together with its heading, its sentence and its key, and keeps to one. No table is cut off, and those that go over sheets repeat their heads.
func TestReportsOnPaper(t *testing.T) {
	browser := browsertest.Start(t)
	dir := t.TempDir()
	wantDone(t, "demo", "--once", "--dir", dir)
	const season = "Autumn 2026 (invented)"
	db := "sqlite:" + filepath.Join(dir, "demo.db")
	out := func(name string) string { return filepath.Join(dir, name+".html") }
	wantDone(t, "report", "--db", db, "--season", season, "--price-per-kg", "6", "-o", out("season")) // a price makes the widest table
	wantDone(t, "report", "--db", db, "--season", season, "--plant", "U3", "-o", out("plant"))
	wantDone(t, "report", "--db", db, "--season", season, "--from", "2026-09-01", "--to", "2026-09-30", "-o", out("range"))
	for name, paper := range papers {
		for report, charts := range map[string]int{"season": 12, "plant": 4, "range": 13} {
			t.Run(report+" on "+name, func(t *testing.T) {
				p := browsertest.Open(t, browser, browsertest.Screen{Width: paper.wide, Height: paper.high}, "file://"+out(report))
				p.WaitDrawn(t)
				p.OnPaper(t)
				if !browsertest.Eval[bool](t, p, `dispatchEvent(new Event("beforeprint"))`) {
					t.Fatal("the page doesn't let itself be printed")
				}
				const figures = `[...document.querySelectorAll(".whole:has(figure)")]`
				if got := browsertest.Eval[int](t, p, figures+`.length`); got != charts {
					t.Errorf("%d charts, want %d", got, charts)
				}
				const cut = figures + `.filter(w => w.getBoundingClientRect().height > innerHeight || getComputedStyle(w).breakInside !== "avoid" ||
					w.querySelector("svg:not(.swatch)").getBoundingClientRect().right > innerWidth).map(w => w.querySelector("h2").textContent).join("; ")`
				if got := browsertest.Eval[string](t, p, cut); got != "" {
					t.Errorf("charts that don't fit on a sheet: %s", got)
				}
				const wide = `[...document.querySelectorAll("table")].filter(t => t.checkVisibility() && t.getBoundingClientRect().right > innerWidth).map(t => t.caption.textContent + " by " + Math.round(t.getBoundingClientRect().right - innerWidth) + " px").join("; ")`
				if got := browsertest.Eval[string](t, p, wide); got != "" {
					t.Errorf("tables that are cut off: %s", got)
				}
				const heads = `[...document.querySelectorAll("table")].filter(t => t.checkVisibility()).map(t => getComputedStyle(t.tHead).display).join()`
				if got := browsertest.Eval[string](t, p, `[...new Set(`+heads+`.split(","))].join()`); got != "table-header-group" {
					t.Errorf("heads of tables are shown as %q", got)
				}
				if browsertest.Eval[int](t, p, `[...document.querySelectorAll("details[data-fold][open]")].length`) == 0 {
					t.Error("no short table beside a chart is printed")
				}
				browsertest.Eval[bool](t, p, `dispatchEvent(new Event("afterprint"))`)
				if got := browsertest.Eval[int](t, p, `document.querySelectorAll("details[data-fold][open]").length`); got != 0 {
					t.Errorf("%d tables stay open after printing", got)
				}
				p.WantQuietConsole(t)
			})
		}
	}
}
