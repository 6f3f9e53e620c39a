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
	id, err := plainPathID(c)
	if err != nil {
		return nil, nil, err
	}
	asOf := q.instant("as_of")
	if err := q.err(); err != nil {
		return nil, nil, err
	}
	key, err := s.outlookKey(c.Request.Context(), id, asOf)
	if err != nil {
		return nil, nil, err
	}
	return s.forecast(c.Request.Context(), key, o)
}
