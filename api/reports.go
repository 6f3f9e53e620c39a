package api

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
	"vinetally/api/memo"
	"vinetally/charts"
)

// assetBase is where the script and style of pages are served; their names hold a digest, so they may be kept for ever.
const assetBase = "/assets"

// reportKey is all that a served report depends on. Change counts every write to the site's records; a report speaks of the season's last record
// or of the moment asked for, never of now.
type reportKey struct {
	change int64
	of     crop.ID // a season or a plant
	query  string
}

// mostReports is how many bytes of served reports are kept.
const mostReports = 32 << 20

func newReports() *memo.Cache[reportKey, []byte] {
	return memo.New[reportKey](mostReports, func(page []byte) int64 { return int64(len(page)) })
}

// keptReport answers with a report page, made if it isn't known. What the query asks for has been read; its errors are told and not kept.
func (s *server) keptReport(c *gin.Context, id crop.ID, work func(context.Context) (charts.Page, error)) error {
	catalogue, err := s.store.Catalogue(c.Request.Context())
	if err != nil {
		return err
	}
	key := reportKey{catalogue.Change, id, c.Request.URL.Query().Encode()}
	page, err := s.reports.Get(c.Request.Context(), key, func(ctx context.Context) ([]byte, error) {
		p, err := work(ctx)
		if err != nil {
			return nil, err
		}
		var b bytes.Buffer
		err = charts.WriteServed(&b, p, assetBase)
		return b.Bytes(), err
	})
	if err != nil {
		return err
	}
	return writePage(c, charts.ServedCSP, page)
}

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
	return s.keptReport(c, id, func(ctx context.Context) (charts.Page, error) {
		trial, err := s.reported(ctx, id, asked, &o, to)
		if err != nil {
			return charts.Page{}, err
		}
		links := charts.ReportLinks{Invented: s.invented, Nav: []charts.Link{{Text: "All seasons", Href: "/"}}, Plant: func(id string) string { return "/reports/plants/" + id }}
		return charts.SeasonPage(report.Of(trial, o), links), nil
	})
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
	return s.keptReport(c, id, func(ctx context.Context) (charts.Page, error) {
		plant, err := s.store.Get(ctx, crop.Plants, id)
		if err != nil {
			return charts.Page{}, err
		}
		// The whole season, for a plant's forecast rests on all plants of its cultivar.
		trial, err := s.reported(ctx, plant.Record.(*crop.Plant).SeasonID, asked, &o, to)
		if err != nil {
			return charts.Page{}, err
		}
		r, err := report.OfPlant(trial, id, o)
		if err != nil {
			return charts.Page{}, err
		}
		links := charts.ReportLinks{Invented: s.invented, Nav: []charts.Link{{Text: "All seasons", Href: "/"},
			{Text: "Season report: " + trial.Season.Name, Href: "/reports/seasons/" + trial.Season.ID.String()}}}
		return charts.PlantPage(r, links), nil
	})
}

// reported loads the season of a report, and completes what was asked by what only its places and records tell.
func (s *server) reported(ctx context.Context, season crop.ID, asked *query, o *report.Options, to *crop.Date) (*crop.Trial, error) {
	trial, err := s.store.LoadSeason(ctx, season, true)
	if err != nil {
		return nil, err
	}
	if err := inRange(asked, o, to, trial); err != nil {
		return nil, err
	}
	o.Earlier, err = EarlierSeasons(ctx, s.store, trial, o.Moment(trial))
	return trial, err
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
