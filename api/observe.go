package api

import (
	"context"
	"crypto/rand"
	"fmt"
	"log/slog"
	"net/http"
	"runtime/debug"
	"time"

	"github.com/gin-gonic/gin"
)

// trace is what a request is followed by.
type trace struct {
	id    string
	route string // the template, so that log lines group; empty where no route matched
}

type traceKey struct{}

func traceOf(r *http.Request) *trace {
	if t, ok := r.Context().Value(traceKey{}).(*trace); ok {
		return t
	}
	return &trace{}
}

// observe gives every request an id and writes one line a request.
func (s *server) observe(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		t := &trace{id: requestID(r.Header.Get("X-Request-Id"))}
		w.Header().Set("X-Request-Id", t.id)
		rec := &recorder{ResponseWriter: w, status: http.StatusOK}
		start := time.Now()
		defer func() {
			s.log.LogAttrs(r.Context(), levelOf(rec.status), "request", slog.String("request_id", t.id), slog.String("method", r.Method),
				slog.String("route", t.route), slog.Int("status", rec.status), slog.Int64("bytes", rec.bytes),
				slog.Float64("ms", float64(time.Since(start).Microseconds())/1000), slog.String("client", r.RemoteAddr))
		}()
		next.ServeHTTP(rec, r.WithContext(context.WithValue(r.Context(), traceKey{}, t)))
	})
}

// levelOf is how much a status matters to whoever reads the log: what passes by itself is a warning.
func levelOf(status int) slog.Level {
	switch {
	case status == http.StatusServiceUnavailable:
		return slog.LevelWarn
	case status >= http.StatusInternalServerError:
		return slog.LevelError
	}
	return slog.LevelInfo
}

// requestID keeps the caller's id if it is short and plain, so that it can't break a log or a header, or makes one.
func requestID(given string) string {
	plain := len(given) > 0 && len(given) <= 64
	for _, c := range []byte(given) {
		letter := 'a' <= c|0x20 && c|0x20 <= 'z'
		plain = plain && (letter || '0' <= c && c <= '9' || c == '-' || c == '_' || c == '.')
	}
	if plain {
		return given
	}
	return rand.Text()
}

// recorder notes what was answered.
type recorder struct {
	http.ResponseWriter
	status  int
	bytes   int64
	written bool
}

func (r *recorder) WriteHeader(status int) {
	if !r.written && status >= 200 {
		r.status, r.written = status, true
	}
	r.ResponseWriter.WriteHeader(status)
}

func (r *recorder) Write(p []byte) (int, error) {
	r.written = true
	n, err := r.ResponseWriter.Write(p)
	r.bytes += int64(n)
	return n, err
}

// Unwrap lets http.ResponseController reach the connection.
func (r *recorder) Unwrap() http.ResponseWriter { return r.ResponseWriter }

func noteRoute(c *gin.Context) { traceOf(c.Request).route = c.FullPath() }

// recovered turns a panic into a problem, or cuts the connection if the answer has begun; the log gets the stack.
func (s *server) recovered(c *gin.Context) {
	defer func() {
		v := recover()
		if v == nil {
			return
		}
		if v == http.ErrAbortHandler {
			panic(v)
		}
		s.log.ErrorContext(c.Request.Context(), "panic", "request_id", traceOf(c.Request).id, "panic", fmt.Sprint(v), "stack", string(debug.Stack()))
		c.Abort()
		if c.Writer.Written() {
			panic(http.ErrAbortHandler)
		}
		s.writeProblem(c.Writer, c.Request, fmt.Errorf("panic: %v", v))
	}()
	c.Next()
}
