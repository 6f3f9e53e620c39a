package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"strings"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
	"vinetally/api"
	"vinetally/charts"
)

// reportCommand is `vinetally report`.
type reportCommand struct {
	database
	Season   string   `required:"" placeholder:"NAME" help:"The season's name."`
	Plant    string   `placeholder:"LABEL" help:"Report on this plant alone."`
	Out      string   `short:"o" required:"" placeholder:"FILE" help:"The file to write, or - for standard output: HTML, or JSON where its name ends in .json. With --format csv a new or empty folder."`
	Format   string   `enum:"html,json,csv," default:"" placeholder:"FORMAT" help:"html: one page that opens with the network off. json: the numbers for scripts, as the REST interface has them. csv: every table of the page as a file."`
	From     string   `placeholder:"DAY" help:"Sum up what was picked and lost from this day on."`
	To       string   `placeholder:"DAY" help:"Speak of the end of this day, at the season's place; whatever came later is left out."`
	AsOf     string   `placeholder:"TIME" help:"Speak of this moment, RFC 3339 or a day (its end, UTC), instead of the season's last record."`
	HoldDays *float64 `placeholder:"DAYS" help:"Days that ripe fruit may stay on the vine, instead of each cultivar's own."`
	Price    *float64 `name:"price-per-kg" placeholder:"MONEY" help:"What a kilogram of marketable fruit is worth, in any money; the report then says what was picked is worth."`
}

// Run writes the report.
func (c *reportCommand) Run(ctx context.Context, s streams) error {
	options, err := c.options()
	if err != nil {
		return err
	}
	format := c.format()
	if format == "csv" && c.Out == "-" {
		return errors.New("tables are written as files: name a folder with -o")
	}
	// Collecting garbage sooner costs a fifth of the time of a large season and keeps it well under 300 MB.
	defer debug.SetGCPercent(debug.SetGCPercent(25))
	db, err := c.open(ctx)
	if err != nil {
		return err
	}
	defer db.Close()
	trial, err := loadNamed(ctx, records{db.Site()}, c.Season)
	if err != nil {
		return err
	}
	if err := c.until(trial, &options); err != nil {
		return err
	}
	if options.Earlier, err = api.EarlierSeasons(ctx, records{db.Site()}, trial, options.Moment(trial)); err != nil {
		return err
	}
	page, r, err := c.page(trial, options)
	if err != nil {
		return err
	}
	switch format {
	case "csv":
		err = writeTables(c.Out, page)
	case "json":
		var document []byte
		if document, err = c.document(db, trial, page, r); err != nil {
			return err
		}
		if c.Out == "-" {
			_, err = s.out.Write(document)
			return err
		}
		err = writeWhole(c.Out, document)
	default:
		if c.Out == "-" {
			return charts.WriteFile(s.out, page)
		}
		err = writePage(c.Out, page)
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(s.out, "Wrote %s\n", c.Out)
	return nil
}

func (c *reportCommand) format() string {
	switch {
	case c.Format != "":
		return c.Format
	case strings.EqualFold(filepath.Ext(c.Out), ".json"):
		return "json"
	}
	return "html"
}

func (c *reportCommand) options() (report.Options, error) {
	o := report.Options{HoldDays: c.HoldDays, PricePerKg: c.Price}
	if c.Price != nil && !(*c.Price >= 0 && *c.Price <= api.MostPrice) {
		return o, fmt.Errorf("--price-per-kg is %v; it must be from 0 to %d", *c.Price, api.MostPrice)
	}
	if c.HoldDays != nil && !(*c.HoldDays >= 0.25 && *c.HoldDays <= 365) {
		return o, fmt.Errorf("--hold-days is %v; it must be from 0.25 to 365", *c.HoldDays)
	}
	if c.AsOf != "" && c.To != "" {
		return o, errors.New("--to and --as-of both say which moment the report speaks of; give one of them")
	}
	if c.From != "" {
		from, err := crop.ParseDate(c.From)
		if err != nil {
			return o, fmt.Errorf("--from %q: %w", c.From, err)
		}
		o.From = &from
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

// until sets the end of the range, in the zone of the season's place; of several zones the latest end counts.
func (c *reportCommand) until(trial *crop.Trial, o *report.Options) error {
	if c.To != "" {
		to, err := crop.ParseDate(c.To)
		if err != nil {
			return fmt.Errorf("--to %q: %w", c.To, err)
		}
		o.AsOf = report.EndOf(trial, to)
	}
	if backwards, day := o.Backwards(trial); backwards {
		return fmt.Errorf("--from %s is after the day that the report speaks of, %s", o.From, day)
	}
	return nil
}

// page makes the report's page, of the season or of one plant, and gives what it shows.
func (c *reportCommand) page(trial *crop.Trial, o report.Options) (charts.Page, *report.Season, error) {
	if c.Plant == "" {
		r := report.Of(trial, o)
		return charts.SeasonPage(r, charts.ReportLinks{}), r, nil
	}
	plant, err := plantNamed(trial, c.Plant)
	if err != nil {
		return charts.Page{}, nil, err
	}
	r, err := report.OfPlant(trial, plant.ID, o)
	if err != nil {
		return charts.Page{}, nil, err
	}
	return charts.PlantPage(r, charts.ReportLinks{}), r.Season, nil
}

func plantNamed(trial *crop.Trial, label string) (*crop.Plant, error) {
	var labels []string
	for i := range trial.Plants {
		if trial.Plants[i].Label == label {
			return &trial.Plants[i], nil
		}
		labels = append(labels, strconv.Quote(trial.Plants[i].Label))
	}
	const most = 30
	if len(labels) > most {
		labels = append(labels[:most], "…")
	}
	return nil, fmt.Errorf("there is no plant %q in season %q; its plants are %s", label, trial.Season.Name, strings.Join(labels, ", "))
}

// loadNamed finds a season by its name and loads it.
func loadNamed(ctx context.Context, site records, name string) (*crop.Trial, error) {
	catalogue, err := site.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	for i := range catalogue.Seasons {
		if catalogue.Seasons[i].Name == name {
			return site.Season(ctx, catalogue.Seasons[i].ID)
		}
	}
	return nil, fmt.Errorf("there is no season %q; %s", name, seasonNames(catalogue))
}

// seasonReport finds the season by name and makes its report.
func seasonReport(ctx context.Context, site records, name string, o report.Options) (*report.Season, error) {
	trial, err := loadNamed(ctx, site, name)
	if err != nil {
		return nil, err
	}
	if o.Earlier, err = api.EarlierSeasons(ctx, site, trial, o.Moment(trial)); err != nil {
		return nil, err
	}
	return report.Of(trial, o), nil
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
