package api

import (
	"bytes"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
	"vinetally/charts"
)

// assetBase is where the script and style of pages are served; their names hold a digest, so they may be kept for ever.
const assetBase = "/assets"

func (s *server) seasonReport(c *gin.Context) error {
	id, err := plainPathID(c)
	if err != nil {
		return err
	}
	asked := parseQuery(c, reportParameters...)
	o, to, err := reportOptions(asked)
	if err != nil {
		return err
	}
	trial, err := s.store.LoadSeason(c.Request.Context(), id, true)
	if err != nil {
		return err
	}
	if err := inRange(asked, &o, to, trial); err != nil {
		return err
	}
	if o.Earlier, err = EarlierSeasons(c.Request.Context(), s.store, trial, o.Moment(trial)); err != nil {
		return err
	}
	links := charts.ReportLinks{Invented: s.invented, Nav: []charts.Link{{Text: "All seasons", Href: "/"}}, Plant: func(id string) string { return "/reports/plants/" + id }}
	return servePage(c, charts.SeasonPage(report.Of(trial, o), links))
}

func (s *server) plantReport(c *gin.Context) error {
	id, err := plainPathID(c)
	if err != nil {
		return err
	}
	asked := parseQuery(c, reportParameters...)
	o, to, err := reportOptions(asked)
	if err != nil {
		return err
	}
	plant, err := s.store.Get(c.Request.Context(), crop.Plants, id)
	if err != nil {
		return err
	}
	// The whole season, for a plant's forecast rests on all plants of its cultivar.
	trial, err := s.store.LoadSeason(c.Request.Context(), plant.Record.(*crop.Plant).SeasonID, true)
	if err != nil {
		return err
	}
	if err := inRange(asked, &o, to, trial); err != nil {
		return err
	}
	if o.Earlier, err = EarlierSeasons(c.Request.Context(), s.store, trial, o.Moment(trial)); err != nil {
		return err
	}
	r, err := report.OfPlant(trial, id, o)
	if err != nil {
		return err
	}
	links := charts.ReportLinks{Invented: s.invented, Nav: []charts.Link{{Text: "All seasons", Href: "/"},
		{Text: "Season report: " + trial.Season.Name, Href: "/reports/seasons/" + trial.Season.ID.String()}}}
	return servePage(c, charts.PlantPage(r, links))
}

// reportParameters are what both reports take.
var reportParameters = []string{"as_of", "hold_days", "from_day", "to_day", "price_per_kg"}

// reportOptions default to the season's last record, so that a finished season reads as it ended. to is the last day asked for, which
// inRange makes a moment of once the places are known.
func reportOptions(q *query) (o report.Options, to *crop.Date, err error) {
	if at := q.instant("as_of"); at != nil {
		o.AsOf = *at
	}
	o.HoldDays, o.PricePerKg = q.holdDays(), q.price("price_per_kg")
	o.From, to = q.day("from_day"), q.day("to_day")
	if to != nil && !o.AsOf.IsZero() {
		q.fault("to_day", "and as_of both say which moment the report speaks of; give one of them")
	}
	return o, to, q.err()
}

// inRange sets the end of the range, and refuses one that ends before it begins.
func inRange(q *query, o *report.Options, to *crop.Date, trial *crop.Trial) error {
	if to != nil {
		o.AsOf = report.EndOf(trial, *to)
	}
	if backwards, day := o.Backwards(trial); backwards {
		q.fault("from_day", fmt.Sprintf("is %s, after the day that the report speaks of, %s", o.From, day))
	}
	return q.err()
}

func servePage(c *gin.Context, p charts.Page) error {
	var b bytes.Buffer
	if err := charts.WriteServed(&b, p, assetBase); err != nil {
		return err
	}
	return writePage(c, charts.ServedCSP, b.Bytes())
}

// asset serves a file that pages link to.
func (s *server) asset(c *gin.Context) error {
	if c.Param("name") == docsStyleName() {
		return writeStyle(c)
	}
	a, ok := charts.AssetByName(c.Param("name"))
	if !ok {
		return refuse(noSuchAddress, "there is no file %s", strconv.Quote(c.Param("name")))
	}
	c.Header("Cache-Control", "public, max-age=31536000, immutable")
	c.Header("Content-Type", a.ContentType)
	http.ServeContent(c.Writer, c.Request, "", time.Time{}, bytes.NewReader(a.Plain()))
	return nil
}
