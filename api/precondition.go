package api

import (
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
)

// entityTag is the version as a strong tag (RFC 9110 section 8.8.3).
func entityTag(version int64) string { return strconv.Quote(strconv.FormatInt(version, 10)) }

// taggedVersion reads one entity tag; -1 stands for a tag that no version of ours has.
func taggedVersion(tag string) int64 {
	digits, quoted := strings.CutPrefix(strings.TrimSpace(tag), `"`)
	digits, closed := strings.CutSuffix(digits, `"`)
	version, err := strconv.ParseInt(strings.TrimSuffix(digits, gzipTag), 10, 64)
	if !quoted || !closed || err != nil || version < 1 {
		return -1
	}
	return version
}

// baseOf says which version a write was made from, by its headers; nil doesn't care. If-None-Match: * asks for a new record.
// A precondition that no version can meet is refused at once.
func (s *server) baseOf(c *gin.Context, kind crop.Kind, id crop.ID) (*int64, error) {
	if strings.TrimSpace(c.GetHeader("If-None-Match")) == "*" {
		return new(int64(0)), nil
	}
	tags := strings.TrimSpace(strings.Join(c.Request.Header.Values("If-Match"), ","))
	if tags == "" {
		return nil, nil
	}
	if version := taggedVersion(tags); version > 0 {
		return &version, nil
	}
	current, err := s.store.Get(c.Request.Context(), kind, id)
	if err != nil && crop.CodeOf(err) != crop.NotFound {
		return nil, err
	}
	if err == nil {
		for tag := range strings.SplitSeq(tags, ",") {
			if tags == "*" || taggedVersion(tag) == current.Version {
				return &current.Version, nil
			}
		}
	}
	if _, err := strconv.ParseInt(tags, 10, 64); err == nil {
		return nil, refuse(preconditionWrong, `If-Match is %s without quotes, which is no ETag; send it as the header ETag has it, such as "%[1]s"`, tags)
	}
	if weak, ok := strings.CutPrefix(tags, "W/"); ok { // RFC 9110, section 13.1.1: such a tag never matches
		return nil, refuse(preconditionWrong, "If-Match is %.100s, a weak ETag, which never matches; leave out W/ and send %.100[2]s (something between you and the server has added it)", tags, weak)
	}
	return nil, refuse(preconditionWrong, "If-Match is %.100s, which is not the record's version; read it again and repeat the change", tags)
}

// hasCurrent tells whether the client says it holds this version already. If-None-Match compares weakly.
func hasCurrent(r *http.Request, version int64) bool {
	for tag := range strings.SplitSeq(r.Header.Get("If-None-Match"), ",") {
		tag = strings.TrimSpace(tag)
		if tag == "*" || taggedVersion(strings.TrimPrefix(tag, "W/")) == version {
			return true
		}
	}
	return false
}
