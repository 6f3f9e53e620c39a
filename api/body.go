package api

import (
	"bytes"
	"errors"
	"io"
	"mime"
	"net"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"
)

// readBody returns the whole body of a request that must carry JSON.
func (s *server) readBody(c *gin.Context) ([]byte, error) {
	if err := wantJSON(c.Request); err != nil {
		return nil, err
	}
	limit := s.limits.JSONBody
	body, err := io.ReadAll(http.MaxBytesReader(c.Writer, c.Request.Body, limit))
	if err != nil {
		if _, ok := errors.AsType[*http.MaxBytesError](err); ok {
			return nil, refuse(bodyTooLarge, "a record's body may have %d bytes; send less", limit)
		}
		if timeout, ok := errors.AsType[net.Error](err); ok && timeout.Timeout() {
			return nil, refuse(unreadableBody, "the body took longer than %s to arrive; send it again", s.limits.Read)
		}
		return nil, refuse(unreadableBody, "the body ended early; send it again")
	}
	if len(bytes.TrimSpace(body)) == 0 {
		return nil, refuse(malformedJSON, "the body is empty; send the record as a JSON object")
	}
	return body, nil
}

// wantJSON refuses a body that says it is something else, or doesn't say, before it is read.
func wantJSON(r *http.Request) error {
	const mend = "send it with Content-Type: application/json"
	given := r.Header.Get("Content-Type")
	if given == "" {
		return refuse(notJSON, "the request doesn't say what its body is; %s", mend)
	}
	media, parameters, err := mime.ParseMediaType(given)
	if err != nil || media != "application/json" {
		return refuse(notJSON, "the body is sent as %.100q; %s", given, mend)
	}
	if charset := parameters["charset"]; charset != "" && !strings.EqualFold(charset, "utf-8") {
		return refuse(notJSON, "the body is sent in the charset %.40q; JSON is UTF-8", charset)
	}
	if coding := r.Header.Get("Content-Encoding"); coding != "" && !strings.EqualFold(coding, "identity") {
		return refuse(notJSON, "the body is sent with the Content-Encoding %.40q; send it uncompressed", coding)
	}
	return nil
}
