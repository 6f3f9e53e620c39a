package api

import (
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// TestHosts: RFC 9110 section 15.5.20 for the status, RFC 6761 section 6.3 for localhost.
func TestHosts(t *testing.T) {
	h := New(Config{Store: newMemory(), Logger: slog.New(slog.DiscardHandler), Hosts: []string{"garden-pc.local", "Trial.Example:8780"}})
	for host, want := range map[string]int{
		"127.0.0.1:8780": 200, "127.0.0.1": 200, "[::1]:8780": 200, "[::1]": 200, "192.168.1.20:8780": 200, "[fe80::1%25eth0]:8780": 200,
		"localhost:8780": 200, "LOCALHOST": 200, "localhost.": 200, "trial.localhost:8780": 200, "": 200,
		"garden-pc.local:8780": 200, "GARDEN-PC.local.": 200, "trial.example": 200,
		"elsewhere.example:8780": 421, "127.0.0.1.elsewhere.example": 421, "localhost.elsewhere.example": 421, "notlocalhost": 421, "pc.local": 421,
		"127.1": 421, "x.garden-pc.local": 421, "elsewhere.example:": 421, "[elsewhere.example]:8780": 421,
	} {
		for _, path := range []string{"/v1/seasons", "/healthz", "/docs", "/openapi.json", "/nowhere"} {
			r := httptest.NewRequest(http.MethodGet, path, nil)
			r.Host = host
			w := httptest.NewRecorder()
			h.ServeHTTP(w, r)
			if refused := w.Code == 421; refused != (want == 421) {
				t.Errorf("Host %q, %s: status %d, want %d: %s", host, path, w.Code, want, w.Body)
			}
		}
	}
}

// TestMisdirectedInABrowser: whoever typed the wrong name sees a page, with its style and without links that lead nowhere.
func TestMisdirectedInABrowser(t *testing.T) {
	h := New(Config{Store: newMemory(), Logger: slog.New(slog.DiscardHandler)})
	get := func(path string) *httptest.ResponseRecorder {
		r := httptest.NewRequest(http.MethodGet, path, nil)
		r.Host = "elsewhere.example"
		r.Header.Set("Accept", "text/html")
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		return w
	}
	w := get("/")
	body := w.Body.String()
	if w.Code != http.StatusMisdirectedRequest || !strings.Contains(body, "elsewhere.example") || !strings.Contains(body, "--host") || strings.Contains(body, `href="/"`) {
		t.Errorf("status %d, %s", w.Code, body)
	}
	_, style, _ := strings.Cut(body, assetBase+"/")
	style, _, _ = strings.Cut(style, `"`)
	if w := get(assetBase + "/" + style); w.Code != http.StatusOK || !strings.HasPrefix(w.Header().Get("Content-Type"), "text/css") {
		t.Errorf("its style %q: status %d", style, w.Code)
	}
}

// TestRebinding: a page that gave its own name this server's address can write nothing, though its browser takes the two for one site.
func TestRebinding(t *testing.T) {
	store := newMemory()
	r := httptest.NewRequest(http.MethodPost, "/v1/seasons", strings.NewReader(`{"name": "theirs"}`))
	r.Host = "elsewhere.example:8780"
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Origin", "http://elsewhere.example:8780")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	w := httptest.NewRecorder()
	New(Config{Store: store, Logger: slog.New(slog.DiscardHandler)}).ServeHTTP(w, r)
	if w.Code != http.StatusMisdirectedRequest {
		t.Errorf("status %d, %s", w.Code, w.Body)
	}
	page, err := store.List(t.Context(), crop.Seasons, crop.Filter{})
	if err != nil || len(page.Items) != 0 {
		t.Errorf("%d seasons stored, %v", len(page.Items), err)
	}
}
