package api

import (
	"context"
	"log/slog"
	"net/http"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
	"vinetally/api/memo"
)

// Config is what the routes work with.
type Config struct {
	Store  Store
	Ping   func(context.Context) error // whether the store answers; nil if there is nothing to ask
	Now    func() time.Time            // nil is time.Now
	Logger *slog.Logger                // nil is slog.Default()
	Limits Limits
	// Hosts are the names that requests may be for, beside localhost and addresses in numbers.
	Hosts []string
	// Invented is the sentence that every page shows where the records are made up; empty for real ones.
	Invented string
	// InventedAt is a moment at which a season of made-up records was under way; the page of today speaks of it, and says so, where none is now.
	InventedAt time.Time
}

type server struct {
	store  Store
	ping   func(context.Context) error
	now    func() time.Time
	log    *slog.Logger
	limits Limits
	hosts  []string

	outlooks   *outlooks
	reports    *memo.Cache[reportKey, []byte]
	described  func() *description // made when first asked for
	invented   string
	inventedAt time.Time
}

// New returns the handler of every route.
func New(c Config) http.Handler {
	s := &server{store: c.Store, ping: c.Ping, now: c.Now, log: c.Logger, limits: c.Limits.orDefault(), hosts: c.Hosts, invented: c.Invented, inventedAt: c.InventedAt}
	if s.ping == nil {
		s.ping = func(context.Context) error { return nil }
	}
	if s.now == nil {
		s.now = time.Now
	}
	if s.log == nil {
		s.log = slog.Default()
	}
	s.outlooks, s.reports = newOutlooks(), newReports()
	s.described = s.describe()
	return s.observe(secure(s.refuseOtherHosts(s.refuseCrossOrigin(compressed(s.router())))))
}

// route is one line of the table below. The served description is made from it.
type route struct {
	method, path string
	summary      string
	handle       handler
	doc          operation
}

// handler answers a request or returns why it can't.
type handler func(*gin.Context) error

// routes lists every route there is.
func (s *server) routes() []route {
	all := []route{
		{"GET", "/v1/plants/{id}/ledger", "Every fruit of a plant accounted for, visit by visit", s.plantLedger,
			analyses("Fruit standing, picked, lost and missing at each visit, and the records that can't all be right.", "Ledger", "as_of")},
		{"GET", "/v1/seasons/{id}/curves", "Sigmoids of the fruit that ever reached each stage", s.seasonCurves,
			analyses("For each plant and each cultivar, by stage, with intervals; what can't be fitted is refused with the reason.", "Curves", "as_of", "clock", "method")},
		{"GET", "/v1/seasons/{id}/forecast", "What will be ripe when, which days to pick on", s.seasonForecast,
			analyses("For each plant, each cultivar and the season, day by day, as distributions by the ripening model; with a picking plan, and what to count next.", "Forecast", forecastParameters...)},
		{"GET", "/v1/seasons/{id}/past-ripe", "Ripe fruit left longer than the hold time", s.pastRipe,
			analyses("What is certain by arithmetic alone if the records are complete, and beside it what the ripening model expects.", "PastRipe", "as_of", "hold_days")},
		{"GET", "/v1/seasons/{id}/fit", "How each count fits the ripening model", s.countFit,
			analyses("Each count but a plant's first is held against what the plant's other records let expect, before it and after it, by stage: how far off it is and how likely that is, summed up by plant and cultivar; with the counts that fit least.", "CountFits", "as_of", "plant_id")},
		{"GET", "/v1/seasons/{id}/yield", "What was picked, how soon and how heavy", s.seasonYield,
			analyses("For each plant, and as means with intervals for each cultivar; with milestones, growth stages and weeks. Fruit that wasn't weighed is estimated and marked.", "Yield", "as_of", "price_per_kg")},
		{"GET", "/v1/seasons/{id}/waste", "What became of fruit that wasn't used", s.seasonWaste,
			analyses("Lost by cause, culled, past ripe, unaccounted for, by plant, cultivar and week, and the wasted share of what ripened.", "Waste", "as_of", "hold_days")},
		{"GET", "/v1/seasons/{id}/germination", "How each lot of seed came up", s.seasonGermination,
			analyses("For each lot the share with its interval, how soon and how evenly, what so many seeds a spot give, and what a published table has at the temperature of the air.", "Germinations", "as_of")},
		{"POST", "/v1/sync", "Apply a mixed list of changes, all or none", s.sync, syncOperation()},
		{"POST", "/v1/temperatures/bulk", "Store many temperature readings, all or none", s.bulkTemperatures, bulkOperation()},
	}
	for _, kind := range crop.Kinds() {
		all = append(all, s.kindRoutes(kind)...)
	}
	all = append(all, s.pages()...)
	return append(all,
		route{"GET", "/healthz", "Whether the server is alive", s.alive, describedHealth("")},
		route{"GET", "/readyz", "Whether the server can answer from its store", s.ready, describedHealth("", notReady)},
		route{"GET", "/openapi.json", "This description as an OpenAPI document", s.openapi, documentOperation()},
	)
}

func (s *server) router() http.Handler {
	gin.SetMode(gin.ReleaseMode)
	engine := gin.New()
	_ = engine.SetTrustedProxies(nil) // no proxy is trusted with the client's address; nil can't fail
	engine.HandleMethodNotAllowed = true
	engine.RedirectTrailingSlash = false
	engine.Use(noteRoute, s.recovered)
	engine.NoRoute(s.answer(func(c *gin.Context) error {
		return refuse(noSuchAddress, "there is nothing at %.100q; the addresses stand at /docs", c.Request.URL.Path)
	}))
	engine.NoMethod(s.answer(func(c *gin.Context) error {
		return refuse(methodNotAllowed, "%s is not answered here; the methods are %s", c.Request.Method, c.Writer.Header().Get("Allow"))
	}))
	for _, r := range s.routes() {
		path := strings.NewReplacer("{", ":", "}", "").Replace(r.path)
		engine.Handle(r.method, path, s.answer(r.handle))
		if r.method == http.MethodGet {
			engine.Handle(http.MethodHead, path, s.answer(r.handle))
		}
	}
	return engine
}
