package api

import (
	"fmt"

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
	p := charts.Page{Title: "vinetally", Subtitle: "Every fruit accounted for, season by season", Cautions: report.Cautions()}
	section := charts.Section{Heading: "Seasons"}
	for i := len(catalogue.Seasons) - 1; i >= 0; i-- {
		season := &catalogue.Seasons[i]
		section.Links = append(section.Links, charts.Link{Text: season.Name, Href: "/reports/seasons/" + season.ID.String(), Detail: span(season)})
	}
	if len(section.Links) == 0 {
		section.Empty = "There are no seasons yet. Import a folder of CSV files with “vinetally import”, or post a season to /v1/seasons."
	}
	p.Sections = []charts.Section{section}
	return servePage(c, p)
}

func span(s *crop.Season) string {
	switch {
	case s.FirstDay != nil && s.LastDay != nil:
		return fmt.Sprintf("%s to %s", s.FirstDay, s.LastDay)
	case s.FirstDay != nil:
		return fmt.Sprintf("since %s", s.FirstDay)
	}
	return ""
}
