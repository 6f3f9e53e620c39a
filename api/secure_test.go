package api

import (
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/gin-gonic/gin"
)

func TestSecurityHeaders(t *testing.T) {
	c := testClient(t)
	for _, target := range []string{"/healthz", "/v1/seasons", "/nothing", "/v1/seasons?x=1"} {
		h := c.do("GET", target, "").header
		for name, want := range map[string]string{"Content-Security-Policy": recordPolicy, "X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY"} {
			if got := h.Get(name); got != want {
				t.Errorf("%s: %s is %q, want %q", target, name, got, want)
			}
		}
	}
}

// Fetch metadata as browsers send it (W3C Fetch Metadata Request Headers); programs send none.
func TestCrossOriginWrites(t *testing.T) {
	c := testClient(t)
	for _, tc := range []struct {
		name, header, value string
		status              int
	}{
		{"another site's page", "Sec-Fetch-Site", "cross-site", 403},
		{"a page of a neighbour", "Sec-Fetch-Site", "same-site", 403},
		{"an older browser on another site", "Origin", "http://elsewhere.test", 403},
		{"a page without an origin", "Origin", "null", 403},
		{"our own page", "Sec-Fetch-Site", "same-origin", 201},
		{"our own page, older browser", "Origin", "http://vinetally.test", 201},
		{"a program", "X-Request-Id", "x", 201},
	} {
		t.Run(tc.name, func(t *testing.T) {
			(&client{t, c.handler}).want(tc.status, "POST", "/v1/seasons", `{"name": "`+tc.name+`"}`, tc.header, tc.value)
		})
	}
	c.want(200, "GET", "/v1/seasons", "", "Sec-Fetch-Site", "cross-site")
}

func TestCompression(t *testing.T) {
	c := testClient(t)
	for _, letter := range strings.Split("abcdefghijklmnop", "") {
		c.want(201, "POST", "/v1/seasons", `{"name": "`+strings.Repeat(letter, 100)+`"}`)
	}
	plain := c.want(200, "GET", "/v1/seasons", "")
	packed := c.want(200, "GET", "/v1/seasons", "", "Accept-Encoding", "gzip")
	if packed.header.Get("Content-Encoding") != "gzip" || packed.header.Get("Vary") != "Accept-Encoding" || len(packed.body) >= len(plain.body) {
		t.Fatalf("got %d bytes with headers %v, want fewer than %d as gzip", len(packed.body), packed.header, len(plain.body))
	}
	r, err := gzip.NewReader(strings.NewReader(packed.body))
	if err != nil {
		t.Fatal(err)
	}
	if got, err := io.ReadAll(r); err != nil || string(got) != plain.body {
		t.Errorf("unpacked %q, %v, want %q", got, err, plain.body)
	}
	if small := c.want(200, "GET", "/healthz", "", "Accept-Encoding", "gzip"); small.header.Get("Content-Encoding") != "" {
		t.Errorf("a small answer is packed: %v", small.header)
	}
}

func TestPageHasItsOwnPolicy(t *testing.T) {
	w := httptest.NewRecorder()
	c, _ := gin.CreateTestContext(w)
	c.Writer.Header().Set("Content-Security-Policy", recordPolicy)
	if err := writePage(c, "default-src 'self'", []byte("<p>")); err != nil {
		t.Fatal(err)
	}
	if got := w.Header().Get("Content-Security-Policy"); got != "default-src 'self'" || w.Code != http.StatusOK || w.Body.String() != "<p>" {
		t.Errorf("got policy %q, status %d, body %q", got, w.Code, w.Body)
	}
}
