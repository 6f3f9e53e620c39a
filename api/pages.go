package api

import (
	"net/http"

	"github.com/gin-gonic/gin"
)

// pages lists the HTML pages and the files that they load.
func (s *server) pages() []route {
	return []route{
		{"GET", "/", "Today: what to pick, what to count; the seasons, each with its report", s.index, todayOperation()},
		{"GET", "/calendar.ics", "The picking days as a calendar", s.calendar, calendarOperation()},
		{"GET", "/reports/seasons/{id}", "A season's report", s.seasonReport, pageOf("", reportParameters...)},
		{"GET", "/reports/plants/{id}", "A plant's report", s.plantReport, pageOf("", reportParameters...)},
		{"GET", assetBase + "/{name}", "A file that pages load", s.asset, assetOperation()},
		{"GET", "/docs", "This documentation", s.docs, docsOperation("", nil)},
		{"GET", "/docs/recipes/{recipe}", "A program or file of the documentation, to copy", s.recipe, recipeOperation()},
		{"GET", "/problems/{problem}", "What a kind of problem means and what to do", s.problemPage, docsOperation("", []problemKind{noSuchAddress}, "problem")},
	}
}

// writePage answers with an HTML page. The policy is the page's own, since a report carries its script inside it.
func writePage(c *gin.Context, policy string, page []byte) error {
	c.Header("Content-Security-Policy", policy)
	write(c.Writer, http.StatusOK, "text/html; charset=utf-8", page)
	return nil
}
