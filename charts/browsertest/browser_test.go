package browsertest

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// TestConsoleHears checks that what a page does wrong is heard, so that a quiet console means something.
func TestConsoleHears(t *testing.T) {
	browser := Start(t)
	for name, c := range map[string]struct{ policy, page, want string }{
		"error":              {"", `<script>throw new Error("no fruit")</script>`, "no fruit"},
		"warning":            {"", `<script>console.warn("too ripe")</script>`, "too ripe"},
		"breach of policy":   {"default-src 'none'", `<script>window.ran = 1</script>`, "Content Security Policy"},
		"style against it":   {"default-src 'none'", `<p style="color: red">ripe</p>`, "Content Security Policy"},
		"missing picture":    {"", `<img src="/nothing.png">`, "404"},
		"picture of the net": {"", `<img src="https://vinetally.example/x.png">`, "ERR_NAME_NOT_RESOLVED"},
	} {
		t.Run(name, func(t *testing.T) {
			site := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
				if r.URL.Path != "/" {
					w.WriteHeader(http.StatusNotFound)
					return
				}
				if c.policy != "" {
					w.Header().Set("Content-Security-Policy", c.policy)
				}
				_, _ = w.Write([]byte(`<!doctype html><link rel="icon" href="data:,"><title>page</title>` + c.page))
			}))
			defer site.Close()
			p := Open(t, browser, Screen{Width: 390, Height: 844}, site.URL)
			if got := p.Console(); !strings.Contains(got, c.want) {
				t.Errorf("console: got %q, want %q in it", got, c.want)
			}
		})
	}
}

// TestScreen checks that a page sees the screen it is opened on.
func TestScreen(t *testing.T) {
	browser := Start(t)
	for _, s := range Screens() {
		t.Run(s.String(), func(t *testing.T) {
			p := Open(t, browser, s, "data:text/html,<!doctype html><title>page</title>")
			if w := Eval[int64](t, p, `innerWidth`); w != s.Width {
				t.Errorf("the page is %d wide, want %d", w, s.Width)
			}
			if dark := Eval[bool](t, p, `matchMedia("(prefers-color-scheme: dark)").matches`); dark != s.Dark {
				t.Errorf("dark: got %v, want %v", dark, s.Dark)
			}
			p.WantQuietConsole(t)
		})
	}
}
