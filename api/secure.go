package api

import (
	"maps"
	"net/http"

	"github.com/klauspost/compress/gzhttp"
)

// recordPolicy lets an answer of JSON load and run nothing, should a browser ever show one as a page. Pages set their own.
const recordPolicy = "default-src 'none'; frame-ancestors 'none'"

// secureHeaders are on every answer. The values are shared, which is safe: http.Header's methods put others in their place and
// change none.
var secureHeaders = http.Header{
	"Content-Security-Policy":      {recordPolicy},
	"X-Content-Type-Options":       {"nosniff"},
	"X-Frame-Options":              {"DENY"},
	"Referrer-Policy":              {"no-referrer"},
	"Cross-Origin-Opener-Policy":   {"same-origin"},
	"Cross-Origin-Resource-Policy": {"same-origin"},
	"Cache-Control":                {"private, no-cache"},
}

func secure(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		maps.Copy(w.Header(), secureHeaders)
		next.ServeHTTP(w, r)
	})
}

// refuseCrossOrigin refuses writes that a page of another site makes the grower's browser send.
func (s *server) refuseCrossOrigin(next http.Handler) http.Handler {
	protection := http.NewCrossOriginProtection()
	protection.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.writeProblem(w, r, refuse(crossOrigin, "the browser says that another site sent this; write from this server's own pages or without a browser"))
	}))
	return protection.Handler(next)
}

// compressed answers in gzip where the client takes it and it pays; the entity tag says so, since the bytes differ.
func compressed(next http.Handler) http.Handler {
	wrap, err := gzhttp.NewWrapper(gzhttp.MinSize(1400), gzhttp.SuffixETag(gzipTag))
	if err != nil { // only for options out of range
		panic(err)
	}
	return wrap(next)
}

const gzipTag = "-gzip"
