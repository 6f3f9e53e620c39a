package api

import (
	"bytes"
	"errors"
	"io"
	"mime"
	"net"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/gin-gonic/gin"
)

// readBody returns the whole body of a request that must carry JSON.
func (s *server) readBody(c *gin.Context) ([]byte, error) {
	if _, err := mediaOf(c.Request, mediaJSON); err != nil {
		return nil, err
	}
	limit := s.limits.JSONBody
	body, err := io.ReadAll(http.MaxBytesReader(c.Writer, c.Request.Body, limit))
	if err != nil {
		if p := refuseReading(err, s.limits.Read); p != nil {
			return nil, p
		}
		return nil, refuse(unreadableBody, "the body ended early; send it again")
	}
	if len(bytes.TrimSpace(body)) == 0 {
		return nil, refuse(malformedJSON, "the body is empty; send the record as a JSON object")
	}
	return body, nil
}

// refuseReading says why a body didn't arrive, if that is what err is about: nil if the body itself is at fault.
func refuseReading(err error, patience time.Duration) *problem {
	if tooLarge, ok := errors.AsType[*http.MaxBytesError](err); ok {
		return refuse(bodyTooLarge, "the body may have %d bytes; send less at a time", tooLarge.Limit)
	}
	if timeout, ok := errors.AsType[net.Error](err); ok && timeout.Timeout() {
		return refuse(unreadableBody, "the body took longer than %s to arrive; send it again", patience)
	}
	return nil
}

// What bodies may be sent as.
const (
	mediaJSON = "application/json"
	mediaCSV  = "text/csv"
)

// mediaOf returns which of the accepted media types a body is sent as. One that says it is something else, or doesn't say,
// is refused before it is read. The answer says which media types or codings are accepted, by RFC 9110, sections 12.5.1 and 12.5.3.
func mediaOf(r *http.Request, accepted ...string) (string, error) {
	mend := "send it with Content-Type: " + strings.Join(accepted, " or ")
	not := func(format string, args ...any) (string, error) {
		p := refuse(notAccepted, format, args...)
		p.accept = http.Header{"Accept": {strings.Join(accepted, ", ")}}
		return "", p
	}
	given := r.Header.Get("Content-Type")
	if given == "" {
		return not("the request doesn't say what its body is; %s", mend)
	}
	media, parameters, err := mime.ParseMediaType(given)
	if err != nil || !slices.Contains(accepted, media) {
		return not("the body is sent as %.100q; %s", given, mend)
	}
	if charset := parameters["charset"]; charset != "" && !strings.EqualFold(charset, "utf-8") {
		return not("the body is sent in the charset %.40q; send it in UTF-8", charset)
	}
	if coding := r.Header.Get("Content-Encoding"); coding != "" && !strings.EqualFold(coding, "identity") {
		p := refuse(notAccepted, "the body is sent with the Content-Encoding %.40q; send it uncompressed", coding)
		p.accept = http.Header{"Accept-Encoding": {"identity"}}
		return "", p
	}
	return media, nil
}
