package api

import (
	"net/http"

	"github.com/gin-gonic/gin"
)

// pages lists the HTML pages: the index at / and the reports join here as they come.
func (s *server) pages() []route { return nil }

// writePage answers with an HTML page. The policy is the page's own, since a report carries its script inside it.
func writePage(c *gin.Context, policy string, page []byte) error {
	c.Header("Content-Security-Policy", policy)
	write(c.Writer, http.StatusOK, "text/html; charset=utf-8", page)
	return nil
}
