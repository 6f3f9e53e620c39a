package charts

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// startBrowser starts a headless browser and returns its context, or skips the test aloud where there is none.
func startBrowser(t *testing.T) context.Context {
	t.Helper()
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		t.Skip("SKIPPED: no chromium, chromium-browser or google-chrome in PATH; the pages were not opened in a browser")
	}
	options := append([]chromedp.ExecAllocatorOption{}, chromedp.DefaultExecAllocatorOptions[:]...)
	options = append(options, chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		// No name resolves: a page that asks the network for anything fails and says so on the console.
		chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"))
	ctx, cancel := context.WithTimeout(t.Context(), 3*time.Minute)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewExecAllocator(ctx, options...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("starting the browser: %v", err)
	}
	return ctx
}

// tab is one page in a browser of its own tab, with everything it wrote to the console.
type tab struct {
	ctx context.Context

	mu       sync.Mutex
	messages []string
}

type screen struct {
	width, height int64
	dark          bool
	scriptsOff    bool
}

func (s screen) String() string {
	scheme := "light"
	if s.dark {
		scheme = "dark"
	}
	return fmt.Sprintf("%dx%d-%s", s.width, s.height, scheme)
}

func openTab(t *testing.T, browser context.Context, s screen, url string) *tab {
	t.Helper()
	ctx, cancel := chromedp.NewContext(browser)
	t.Cleanup(cancel)
	p := &tab{ctx: ctx}
	p.setScheme(t, s.dark)
	if err := chromedp.Do(ctx,
		chromedp.EmulateViewport(s.width, s.height),
		chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
			_, err := cdp.Call(ctx, target, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: s.scriptsOff})
			return err
		}),
	); err != nil {
		t.Fatalf("preparing the tab: %v", err)
	}
	console := chromedp.Console(ctx)
	go func() {
		for m, err := range console {
			if err != nil {
				return
			}
			p.mu.Lock()
			p.messages = append(p.messages, m.String())
			p.mu.Unlock()
		}
	}()
	if err := chromedp.Do(ctx, chromedp.Navigate(url)); err != nil {
		t.Fatalf("opening %s: %v", url, err)
	}
	return p
}

// setScheme makes the browser prefer dark or light pages.
func (p *tab) setScheme(t *testing.T, dark bool) {
	t.Helper()
	scheme := "light"
	if dark {
		scheme = "dark"
	}
	err := chromedp.Do(p.ctx, chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
		return err
	}))
	if err != nil {
		t.Fatalf("setting the colour scheme: %v", err)
	}
}

// eval returns the value of a script expression.
func eval[T any](t *testing.T, p *tab, expression string) T {
	t.Helper()
	v, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		t.Fatalf("evaluating %s: %v", expression, err)
	}
	return v
}

// waitFor polls until the expression is true.
func (p *tab) waitFor(t *testing.T, expression string) {
	t.Helper()
	for range 200 {
		if eval[bool](t, p, expression) {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("waited in vain for %s; console: %s", expression, p.console())
}

func (p *tab) waitDrawn(t *testing.T) {
	t.Helper()
	p.waitFor(t, `document.documentElement.dataset.charts === "drawn"`)
}

func (p *tab) console() string {
	time.Sleep(100 * time.Millisecond) // messages arrive apart from answers
	p.mu.Lock()
	defer p.mu.Unlock()
	return strings.Join(p.messages, "\n")
}

func (p *tab) wantQuietConsole(t *testing.T) {
	t.Helper()
	if got := p.console(); got != "" {
		t.Errorf("console: got %q, want nothing", got)
	}
}

// keepShot saves a picture of the whole page into the folder that CHARTS_SHOTS names, for a person to look at.
func (p *tab) keepShot(t *testing.T, name string) {
	t.Helper()
	dir := os.Getenv("CHARTS_SHOTS")
	if dir == "" {
		return
	}
	png, err := chromedp.Run(p.ctx, chromedp.FullScreenshot(100))
	if err != nil {
		t.Fatalf("screenshot: %v", err)
	}
	if err := os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644); err != nil {
		t.Fatal(err)
	}
}

// pageFile writes the page into a file and returns its file:// address.
func pageFile(t *testing.T, p Page) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "page.html")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := WriteFile(f, p); err != nil {
		t.Fatal(err)
	}
	return "file://" + path
}
