package api

import (
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
)

// asOf is the moment an analysis looks back from: the parameter as_of, or now.
func (s *server) asOf(q *query) (time.Time, error) {
	at := q.instant("as_of")
	if err := q.err(); err != nil {
		return time.Time{}, err
	}
	if at == nil {
		return s.now(), nil
	}
	return *at, nil
}

// seasonAsOf is the season of the address as it was known at the moment asked for, for a query whose other parameters have been read.
func (s *server) seasonAsOf(c *gin.Context, q *query, temperatures bool) (*crop.Trial, time.Time, error) {
	id, err := plainPathID(c)
	if err != nil {
		return nil, time.Time{}, err
	}
	asOf, err := s.asOf(q)
	if err != nil {
		return nil, time.Time{}, err
	}
	trial, err := s.store.LoadSeason(c.Request.Context(), id, temperatures)
	if err != nil {
		return nil, time.Time{}, err
	}
	return trial.AsOf(asOf), asOf, nil
}

// orOwn is the hold time asked for, in days, or the 0 that stands for each cultivar's own.
func orOwn(holdDays *float64) float64 {
	if holdDays == nil {
		return 0
	}
	return *holdDays
}
