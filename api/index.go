package api

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
	"vinetally/charts"
)

// index says what to do today in the season that is under way, or in another one asked for, and leads to the report of every season.
func (s *server) index(c *gin.Context) error {
	q := parseQuery(c, "season")
	if err := q.err(); err != nil {
		return err
	}
	catalogue, err := s.store.Catalogue(c.Request.Context())
	if err != nil {
		return err
	}
	season, err := s.asked(q, catalogue)
	if err != nil {
		return err
	}
	p := charts.Page{Title: "vinetally", Invented: s.invented, Subtitle: "Every fruit accounted for, season by season", Cautions: report.Cautions()}
	if season != nil {
		if err := s.addToday(c.Request.Context(), &p, catalogue.Change, season); err != nil {
			return err
		}
	}
	section := charts.Section{Heading: "Seasons"}
	seasons := slices.SortedStableFunc(slices.Values(catalogue.Seasons), newestFirst)
	for i := range seasons {
		season := &seasons[i]
		section.Links = append(section.Links, charts.Link{Text: season.Name, Href: "/reports/seasons/" + season.ID.String(), Detail: span(season)})
	}
	if len(section.Links) == 0 {
		section.Empty = "There are no seasons yet. Import a folder of CSV files with “vinetally import”, or post a season to /v1/seasons."
	}
	if under := current(catalogue, s.now()); len(under) > 1 {
		others := charts.Section{Heading: "Today in other seasons"}
		for i := range under {
			if under[i].ID != season.ID {
				others.Links = append(others.Links, charts.Link{Text: under[i].Name, Href: "/?season=" + under[i].ID.String()})
			}
		}
		p.Sections = append(p.Sections, others)
	}
	p.Sections = append(p.Sections, section, charts.Section{Heading: "For scripts", Links: []charts.Link{
		{Text: "The REST interface", Href: "/docs", Detail: "every address, what it takes and what it answers"}}})
	return servePage(c, p)
}

// patience is how long the page of today waits for its forecast; a large season's may take longer, and is there a little later.
const patience = 2 * time.Second

// addToday puts on a page what to do in a season.
func (s *server) addToday(ctx context.Context, p *charts.Page, change int64, season *crop.Season) error {
	p.Subtitle = "Today: " + season.Name
	soon, done := context.WithTimeout(ctx, patience)
	defer done()
	fitted, f, err := s.forecast(soon, s.keyNow(change, season.ID, pageStep), defaultForecast())
	if errors.Is(err, context.DeadlineExceeded) && ctx.Err() == nil {
		p.Answer = []charts.Statement{{Text: stillWorking, Severity: charts.Plain}}
		return nil
	}
	if err != nil {
		return err
	}
	p.AsOf = crop.ClockWords(f.AsOf.In(fitted.trial.Zone()))
	p.Answer = today(fitted, f)
	p.Sections = todaySections(season, f, fitted.trial.Zone())
	if len(f.Plants) > 0 {
		p.RestsOn, p.Warnings = []string{f.Basis()}, f.Warnings
	}
	return nil
}

const stillWorking = "What to pick is being worked out; open this page again in a few seconds."

// newestFirst orders seasons by their first day, those without one last, then by name.
func newestFirst(a, b crop.Season) int {
	var x, y crop.Date
	if a.FirstDay != nil {
		x = *a.FirstDay
	}
	if b.FirstDay != nil {
		y = *b.FirstDay
	}
	return cmp.Or(y.Compare(x), crop.NaturalCompare(a.Name, b.Name))
}

func span(s *crop.Season) string {
	switch {
	case s.FirstDay != nil && s.LastDay != nil:
		return crop.RangeWords(*s.FirstDay, *s.LastDay)
	case s.FirstDay != nil:
		return "since " + s.FirstDay.Words()
	case s.LastDay != nil:
		return "until " + s.LastDay.Words()
	}
	return ""
}
