package api

import (
	"cmp"
	"slices"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
	"vinetally/charts"
)

// index leads to the report of every season.
func (s *server) index(c *gin.Context) error {
	if err := parseQuery(c).err(); err != nil {
		return err
	}
	catalogue, err := s.store.Catalogue(c.Request.Context())
	if err != nil {
		return err
	}
	p := charts.Page{Title: "vinetally", Invented: s.invented, Subtitle: "Every fruit accounted for, season by season", Cautions: report.Cautions()}
	section := charts.Section{Heading: "Seasons"}
	seasons := slices.SortedStableFunc(slices.Values(catalogue.Seasons), newestFirst)
	for i := range seasons {
		season := &seasons[i]
		section.Links = append(section.Links, charts.Link{Text: season.Name, Href: "/reports/seasons/" + season.ID.String(), Detail: span(season)})
	}
	if len(section.Links) == 0 {
		section.Empty = "There are no seasons yet. Import a folder of CSV files with “vinetally import”, or post a season to /v1/seasons."
	}
	p.Sections = []charts.Section{section, {Heading: "For scripts", Links: []charts.Link{
		{Text: "The REST interface", Href: "/docs", Detail: "every address, what it takes and what it answers"}}}}
	return servePage(c, p)
}

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
