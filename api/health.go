package api

import (
	"context"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"
)

type health struct {
	Status string `json:"status"`
}

func (s *server) alive(c *gin.Context) error { return respond(c, http.StatusOK, health{"alive"}) }

func (s *server) ready(c *gin.Context) error {
	ctx, cancel := context.WithTimeout(c.Request.Context(), 2*time.Second)
	defer cancel()
	if err := s.ping(ctx); err != nil {
		s.log.WarnContext(ctx, "store doesn't answer", "request_id", traceOf(c.Request).id, "error", err)
		return refuse(notReady, "the store doesn't answer; try again in a moment")
	}
	return respond(c, http.StatusOK, health{"ready"})
}
