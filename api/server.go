package api

import (
	"context"
	"log/slog"
	"net/http"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
)

// Config is what the routes work with.
type Config struct {
	Store  Store
	Ping   func(context.Context) error // whether the store answers; nil if there is nothing to ask
	Now    func() time.Time            // nil is time.Now
	Logger *slog.Logger                // nil is slog.Default()
	Limits Limits
}

type server struct {
	store  Store
	ping   func(context.Context) error
	now    func() time.Time
	log    *slog.Logger
	limits Limits
}

// New returns the handler of every route.
func New(c Config) http.Handler {
	s := &server{store: c.Store, ping: c.Ping, now: c.Now, log: c.Logger, limits: c.Limits.orDefault()}
	if s.ping == nil {
		s.ping = func(context.Context) error { return nil }
	}
	if s.now == nil {
		s.now = time.Now
	}
	if s.log == nil {
		s.log = slog.Default()
	}
	return s.observe(secure(s.refuseCrossOrigin(compressed(s.router()))))
}

// route is one line of the table below.
type route struct {
	method, path string
	summary      string
	handle       handler
}

// handler answers a request or returns why it can't.
type handler func(*gin.Context) error

// routes lists every route there is.
func (s *server) routes() []route {
	all := []route{
		{"GET", "/healthz", "Whether the server is alive", s.alive},
		{"GET", "/readyz", "Whether the server can answer from its store", s.ready},
		{"POST", "/v1/sync", "Apply a mixed list of changes, all or none", s.sync},
		{"POST", "/v1/temperatures/bulk", "Store many temperature readings, all or none", s.bulkTemperatures},
		{"GET", "/v1/plants/{id}/ledger", "Every fruit of a plant accounted for, visit by visit", s.plantLedger},
		{"GET", "/v1/seasons/{id}/curves", "Sigmoids of the fruit that ever reached each stage", s.seasonCurves},
		{"GET", "/v1/seasons/{id}/past-ripe", "Ripe fruit left longer than the hold time", s.pastRipe},
	}
	for _, kind := range crop.Kinds() {
		path := "/v1/" + string(kind)
		all = append(all,
			route{"GET", path, "List " + string(kind), s.list(kind)},
			route{"POST", path, "Add one of " + string(kind), s.create(kind)},
			route{"GET", path + "/{id}", "Read one of " + string(kind), s.one(kind)},
			route{"PUT", path + "/{id}", "Make or replace one of " + string(kind), s.put(kind)},
			route{"DELETE", path + "/{id}", "Delete one of " + string(kind), s.remove(kind)},
			route{"GET", path + "/{id}/history", "Every version of one of " + string(kind), s.history(kind)},
			route{"POST", path + "/{id}/restore", "Make an earlier version of one of " + string(kind) + " current again", s.restore(kind)},
		)
	}
	return append(all, s.pages()...)
}

func (s *server) router() http.Handler {
	gin.SetMode(gin.ReleaseMode)
	engine := gin.New()
	_ = engine.SetTrustedProxies(nil) // no proxy is trusted with the client's address; nil can't fail
	engine.HandleMethodNotAllowed = true
	engine.RedirectTrailingSlash = false
	engine.Use(noteRoute, s.recovered)
	engine.NoRoute(s.answer(func(*gin.Context) error { return refuse(noSuchAddress, "there is nothing at this address") }))
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
