package api

import (
	"cmp"
	"context"
	"errors"
	"net/url"
	"slices"
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
	"vinetally/charts"
)

// index says what to do today in the season that is under way, or in another one or at another moment asked for, and leads to the report of every season.
func (s *server) index(c *gin.Context) error {
	q := parseQuery(c, "season", "as_of")
	asOf := q.instant("as_of")
	if err := q.err(); err != nil {
		return err
	}
	catalogue, err := s.store.Catalogue(c.Request.Context())
	if err != nil {
		return err
	}
	instead := "This is not today: it"
	if _, given := q.get("season"); asOf == nil && !given && !s.inventedAt.IsZero() && len(current(catalogue, s.now())) == 0 {
		asOf, instead = &s.inventedAt, "No season is under way today: this"
	}
	at := s.now()
	if asOf != nil {
		at = *asOf
	}
	season, err := s.asked(q, catalogue, at)
	if err != nil {
		return err
	}
	p := charts.Page{Title: "vinetally", Invented: s.invented, Subtitle: "Every fruit accounted for, season by season", Cautions: report.Cautions()}
	if season != nil {
		if err := s.addToday(c, &p, catalogue.Change, season, asOf, instead); err != nil {
			return err
		}
	} else if len(catalogue.Seasons) > 0 {
		p.Answer = []charts.Statement{{Text: noneUnderWay(catalogue, at), Severity: charts.Plain}}
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
	if under := current(catalogue, at); len(under) > 1 {
		others := charts.Section{Heading: "Today in other seasons"}
		if asOf != nil {
			others.Heading = "That day in other seasons"
		}
		for i := range under {
			if under[i].ID != season.ID {
				others.Links = append(others.Links, charts.Link{Text: under[i].Name, Href: todayAddress(under[i].ID, asOf)})
			}
		}
		p.Sections = append(p.Sections, others)
	}
	p.Sections = append(p.Sections, section, charts.Section{Heading: "For scripts", Links: []charts.Link{
		{Text: "The REST interface", Href: "/docs", Detail: "every address, what it takes and what it answers"}}})
	return servePage(c, p)
}

// noneUnderWay says that there is nothing to do, and of which season the report is worth a look.
func noneUnderWay(c *crop.Catalogue, at time.Time) string {
	const words = "No season is under way, so there is nothing to pick or count today."
	seasons := slices.SortedStableFunc(slices.Values(c.Seasons), newestFirst)
	for i := range seasons {
		if last := seasons[i].LastDay; last != nil && !last.Noon(time.UTC).After(at) {
			return words + " " + seasons[i].Name + " ended on " + last.Words() + "; its report is below."
		}
	}
	return words
}

// todayAddress is that of the page of today in a season, or of the page as it was.
func todayAddress(season crop.ID, asOf *time.Time) string {
	address := "/?season=" + season.String()
	if asOf != nil {
		address += "&as_of=" + url.QueryEscape(asOf.Format(time.RFC3339))
	}
	return address
}

// patience is how long the page of today waits for its forecast; a large season's may take longer, and is there a little later.
const patience = 2 * time.Second

// addToday puts on a page what to do in a season, or what there was to do at a moment instead.
func (s *server) addToday(c *gin.Context, p *charts.Page, change int64, season *crop.Season, asOf *time.Time, instead string) error {
	ctx := c.Request.Context()
	p.Subtitle = "Today: " + season.Name
	key := s.keyNow(change, season.ID, pageStep)
	if asOf != nil {
		key = s.keyAt(change, season.ID, asOf)
		p.Subtitle = "As it was: " + season.Name
	}
	soon, done := context.WithTimeout(ctx, patience)
	defer done()
	fitted, f, err := s.forecast(soon, key, defaultForecast())
	if errors.Is(err, context.DeadlineExceeded) && ctx.Err() == nil {
		p.Answer = []charts.Statement{{Text: stillWorking, Severity: charts.Plain}}
		c.Header("Refresh", askAgain)
		return nil
	}
	if err != nil {
		return err
	}
	zone := fitted.trial.Zone()
	if asOf == nil {
		p.Answer = today(fitted, f, "today")
	} else {
		p.Answer = []charts.Statement{{Severity: charts.Plain,
			Text: instead + " is what this page said on " + dayName(crop.DateOf(asOf.In(zone))) + ", from what is dated up to then."}}
		for _, x := range today(fitted, f, "that day") {
			x.Severity = charts.Plain // nobody can act on it any more
			p.Answer = append(p.Answer, x)
		}
	}
	p.AsOf = crop.ClockWords(f.AsOf.In(zone))
	p.Sections = todaySections(season, f, zone, asOf != nil)
	if len(f.Plants) > 0 {
		p.RestsOn, p.Warnings = []string{f.Basis()}, f.Warnings
	}
	return nil
}

const stillWorking = "What to pick is being worked out, which takes some seconds in a season of a thousand plants; this page looks again by itself every few seconds."

// askAgain is after how many seconds a browser asks for such a page again.
const askAgain = "5"

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
