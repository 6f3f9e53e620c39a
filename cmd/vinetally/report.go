package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
	"vinetally/charts"
)

// reportCommand is `vinetally report`.
type reportCommand struct {
	database
	Season   string   `required:"" placeholder:"NAME" help:"The season's name."`
	Out      string   `short:"o" required:"" placeholder:"FILE.html" help:"The file to write, or - for standard output."`
	AsOf     string   `placeholder:"TIME" help:"Speak of this moment, RFC 3339 or a day (its end, UTC), instead of the season's last record."`
	HoldDays *float64 `placeholder:"DAYS" help:"Days that ripe fruit may stay on the vine, instead of each cultivar's own."`
}

// Run writes the report.
func (c *reportCommand) Run(ctx context.Context, s streams) error {
	options, err := c.options()
	if err != nil {
		return err
	}
	db, err := c.open(ctx)
	if err != nil {
		return err
	}
	defer db.Close()
	r, err := seasonReport(ctx, records{db.Site()}, c.Season, options)
	if err != nil {
		return err
	}
	if c.Out == "-" {
		return charts.WriteFile(s.out, charts.SeasonPage(r, charts.ReportLinks{}))
	}
	if err := writePage(c.Out, charts.SeasonPage(r, charts.ReportLinks{})); err != nil {
		return err
	}
	fmt.Fprintf(s.out, "Wrote %s\n", c.Out)
	return nil
}

func (c *reportCommand) options() (report.Options, error) {
	o := report.Options{HoldDays: c.HoldDays}
	if c.HoldDays != nil && !(*c.HoldDays >= 0.25 && *c.HoldDays <= 365) {
		return o, fmt.Errorf("--hold-days is %v; it must be from 0.25 to 365", *c.HoldDays)
	}
	if c.AsOf == "" {
		return o, nil
	}
	m, err := crop.ParseMoment(c.AsOf)
	if err != nil {
		return o, fmt.Errorf("--as-of %q: %w", c.AsOf, err)
	}
	o.AsOf = m.Latest()
	return o, nil
}

// seasonReport finds the season by name and makes its report.
func seasonReport(ctx context.Context, site records, name string, o report.Options) (*report.Season, error) {
	catalogue, err := site.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	for i := range catalogue.Seasons {
		if catalogue.Seasons[i].Name != name {
			continue
		}
		trial, err := site.Season(ctx, catalogue.Seasons[i].ID)
		if err != nil {
			return nil, err
		}
		return report.Of(trial, o), nil
	}
	return nil, fmt.Errorf("there is no season %q; %s", name, seasonNames(catalogue))
}

func seasonNames(c *crop.Catalogue) string {
	if len(c.Seasons) == 0 {
		return "the database has none yet, so import some records first"
	}
	names := make([]string, len(c.Seasons))
	for i := range c.Seasons {
		names[i] = strconv.Quote(c.Seasons[i].Name)
	}
	return "the seasons are " + strings.Join(names, ", ")
}

// writePage writes a page beside its final name and renames it, so that a report is never half-written.
func writePage(path string, page charts.Page) (err error) {
	file, err := os.CreateTemp(filepath.Dir(path), ".vinetally-*.html")
	if err != nil {
		return fmt.Errorf("write the report: %w; choose a folder that exists and can be written with -o", err)
	}
	defer func() {
		if err != nil {
			_ = os.Remove(file.Name())
		}
	}()
	if err := writeAll(file, page); err != nil {
		return err
	}
	if err := os.Chmod(file.Name(), 0o644); err != nil {
		return fmt.Errorf("write the report: %w", err)
	}
	if err := os.Rename(file.Name(), path); err != nil {
		return fmt.Errorf("write the report: %w; name another file with -o", err)
	}
	return nil
}

func writeAll(w io.WriteCloser, page charts.Page) error {
	if err := charts.WriteFile(w, page); err != nil {
		_ = w.Close()
		return err
	}
	if err := w.Close(); err != nil {
		return fmt.Errorf("write the report: %w", err)
	}
	return nil
}
