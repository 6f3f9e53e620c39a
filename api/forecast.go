package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/forecast"
)

func (s *server) seasonForecast(c *gin.Context) error {
	q := parseQuery(c, forecastParameters...)
	o := q.forecast()
	fitted, f, err := s.forecastAsOf(c, q, o)
	if err != nil {
		return err
	}
	return respond(c, http.StatusOK, newForecastAnswer(fitted, f, o))
}

// forecastAsOf is the forecast of the season of the address, made at the moment asked for, for a query whose other parameters have been
// read.
func (s *server) forecastAsOf(c *gin.Context, q *query, o forecastOptions) (*outlook, *forecast.Forecast, error) {
	key, err := s.outlookAsOf(c, q)
	if err != nil {
		return nil, nil, err
	}
	return s.forecast(c.Request.Context(), key, o)
}

// outlookAsOf is the key of the season of the address at the moment asked for, for such a query.
func (s *server) outlookAsOf(c *gin.Context, q *query) (outlookKey, error) {
	id, err := plainPathID(c)
	if err != nil {
		return outlookKey{}, err
	}
	asOf := q.instant("as_of")
	if err := q.err(); err != nil {
		return outlookKey{}, err
	}
	catalogue, err := s.store.Catalogue(c.Request.Context())
	if err != nil {
		return outlookKey{}, err
	}
	return s.keyAt(catalogue.Change, id, asOf), nil
}
