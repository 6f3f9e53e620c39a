package main

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
	"vinetally/api/csvfile"
	"vinetally/charts"
	"vinetally/storage"
	"vinetally/testdata"
)

// demoCommand is `vinetally demo`.
type demoCommand struct {
	listening
	Dir  string `placeholder:"DIR" help:"Where to put the scratch database and the report; a new folder for temporary files if left out."`
	Once bool   `help:"Stop after the report instead of serving."`
}

// demoInvented stands above the demo's report.
const demoInvented = "These records are invented: a made-up trial of made-up cultivars, to show what vinetally does."

// demoSeason is the demo's season with fruit left past ripe, the one its answer speaks of.
const demoSeason = "Autumn 2026 (invented)"

// demoBefore is a moment of that season at which most fruit was still to ripen; the demo tells what was forecast then.
var demoBefore = time.Date(2026, 9, 22, 20, 0, 0, 0, time.UTC)

// Run imports the demo trial, tells its answer, writes its report and serves it.
func (c *demoCommand) Run(ctx context.Context, s streams) error {
	dir, err := c.folder()
	if err != nil {
		return err
	}
	database := filepath.Join(dir, "demo.db")
	db, err := storage.Open(ctx, "sqlite:"+database, storage.Options{Now: time.Now})
	if err != nil {
		return err
	}
	defer db.Close()
	site := records{db.Site()}
	sources, err := embedded(testdata.Demo())
	if err != nil {
		return err
	}
	if _, err := csvfile.Import(ctx, site, sources, csvfile.Options{Actor: "demo"}); err != nil {
		return err
	}
	r, err := seasonReport(ctx, site, demoSeason, report.Options{})
	if err != nil {
		return err
	}
	file := filepath.Join(dir, "report.html")
	if err := writePage(file, charts.SeasonPage(r, charts.ReportLinks{Invented: demoInvented})); err != nil {
		return err
	}
	before, err := seasonReport(ctx, site, demoSeason, report.Options{AsOf: demoBefore})
	if err != nil {
		return err
	}
	tell(s.out, r, before)
	fmt.Fprintf(s.out, "\nThe report:   %s\n", file)
	fmt.Fprintf(s.out, "The database: %s\n", database)
	if c.Once {
		return nil
	}
	listener, err := c.listen(ctx)
	if err != nil {
		return err
	}
	fmt.Fprintf(s.out, "Open http://%s/ (stop with Ctrl-C)\n", listener.Addr())
	return c.serve(ctx, db, listener, slog.New(slog.NewTextHandler(s.err, &slog.HandlerOptions{Level: slog.LevelWarn})), demoInvented, demoBefore)
}

func (c *demoCommand) folder() (string, error) {
	if c.Dir == "" {
		dir, err := os.MkdirTemp("", "vinetally-demo-")
		if err != nil {
			return "", fmt.Errorf("make a folder for the demo: %w; name one with --dir", err)
		}
		return dir, nil
	}
	if err := os.MkdirAll(c.Dir, 0o755); err != nil {
		return "", fmt.Errorf("make a folder for the demo: %w; name another with --dir", err)
	}
	return c.Dir, nil
}

// tell prints the season's answer, what was forecast before, and how such forecasts held.
func tell(w io.Writer, r, before *report.Season) {
	fmt.Fprintf(w, "%s, as of %s\n", r.Season.Name, report.Clock(r.AsOf))
	fmt.Fprintln(w, demoInvented)
	fmt.Fprintln(w)
	for _, a := range r.Answer {
		mark := " "
		switch a.Level {
		case report.Act:
			mark = "!"
		case report.Look:
			mark = "?"
		}
		fmt.Fprintf(w, "%s %s\n", mark, a.Text)
	}
	fmt.Fprintf(w, "  On %s it said: %s\n", crop.DayWords(before.AsOf), before.RipeSentence())
	fmt.Fprintf(w, "  %s\n", r.HeldSentence())
}

// embedded turns the demo's files into sources.
func embedded(files fs.FS) ([]csvfile.Source, error) {
	names, err := fs.Glob(files, "*.csv")
	if err != nil {
		return nil, err
	}
	var sources []csvfile.Source
	for _, name := range names {
		sources = append(sources, csvfile.Source{Name: name, Open: func() (io.ReadCloser, error) { return files.Open(name) }})
	}
	return sources, nil
}
