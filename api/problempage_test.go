package api

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// TestProblemsInABrowser: an address that leads nowhere is a page with a way on for a person, and a problem for a script.
func TestProblemsInABrowser(t *testing.T) {
	c := newClient(t, newSite(t))
	const browser = "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"
	for _, tc := range []struct {
		path, accept, media string
		status              int
	}{
		{"/reports/plants/01a21546-c23b-7043-b1d8-449ec41f2d8e", browser, "text/html; charset=utf-8", 404},
		{"/reports/seasons/x", browser, "text/html; charset=utf-8", 404},
		{"/nowhere/<script>alert(1)</script>", browser, "text/html; charset=utf-8", 404},
		{"/reports/seasons/x", "*/*", "application/problem+json", 404},
		{"/v1/plants/x", browser, "application/problem+json", 404},
	} {
		r := httptest.NewRequest(http.MethodGet, "http://example.test/", nil)
		r.URL.Path = tc.path
		r.Header.Set("Accept", tc.accept)
		w := httptest.NewRecorder()
		c.handler.ServeHTTP(w, r)
		if w.Code != tc.status && w.Code != 400 || w.Header().Get("Content-Type") != tc.media {
			t.Errorf("%s for %q: status %d, %s; want %d, %s", tc.path, tc.accept, w.Code, w.Header().Get("Content-Type"), tc.status, tc.media)
		}
		if strings.Contains(w.Body.String(), "<script>alert") {
			t.Errorf("%s: the address has become part of the page", tc.path)
		}
		if strings.HasPrefix(tc.media, "text/html") && (!strings.Contains(w.Body.String(), `href="/"`) || w.Header().Get("Content-Security-Policy") == "") {
			t.Errorf("%s: no way on, or no policy: %s", tc.path, w.Body)
		}
	}
}

// TestProblemSentence: a detail begins with a capital, a parameter's name doesn't.
func TestProblemSentence(t *testing.T) {
	for detail, want := range map[string]string{
		"as_of is \"yesterday\"; it must be a time": `The parameter as_of is "yesterday"; it must be a time.`,
		"there is no season of this id":             "There is no season of this id.",
		"days is \"0\"":                             `Days is "0".`,
	} {
		if got := sentence(detail); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
