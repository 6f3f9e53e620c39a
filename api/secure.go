package api

import (
	"net/http"

	"github.com/klauspost/compress/gzhttp"
)

// recordPolicy lets an answer of JSON load and run nothing, should a browser ever show one as a page. Pages set their own.
const recordPolicy = "default-src 'none'; frame-ancestors 'none'"

func secure(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", recordPolicy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "private, no-cache")
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
