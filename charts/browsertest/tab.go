package browsertest

import (
	"context"
	"fmt"
	"iter"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// Screen is what a page is shown on; sizes are CSS pixels.
type Screen struct {
	Width, Height int64
	Dark          bool
	ScriptsOff    bool
}

// Screens are a phone and a desktop screen, light and dark.
func Screens() []Screen {
	return []Screen{
		{Width: 390, Height: 844}, {Width: 390, Height: 844, Dark: true},
		{Width: 1280, Height: 800}, {Width: 1280, Height: 800, Dark: true},
	}
}

func (s Screen) String() string {
	scheme := "light"
	if s.Dark {
		scheme = "dark"
	}
	return fmt.Sprintf("%dx%d-%s", s.Width, s.Height, scheme)
}

// Tab is one open page, with everything it wrote to the console, breaches of its content security policy included.
type Tab struct {
	Ctx context.Context

	mu       sync.Mutex
	messages []string
}

func (p *Tab) listen(console iter.Seq2[chromedp.ConsoleMessage, error]) {
	for m, err := range console {
		if err != nil {
			return
		}
		p.mu.Lock()
		p.messages = append(p.messages, m.String())
		p.mu.Unlock()
	}
}

// OnPaper shows the page as it is printed, on paper of the tab's width.
func (p *Tab) OnPaper(t *testing.T) {
	t.Helper()
	err := chromedp.Do(p.Ctx, chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
		return err
	}))
	if err != nil {
		t.Fatalf("showing the page on paper: %v", err)
	}
}

// SetDark makes the browser prefer dark or light pages.
func (p *Tab) SetDark(t *testing.T, dark bool) {
	t.Helper()
	scheme := "light"
	if dark {
		scheme = "dark"
	}
	err := chromedp.Do(p.Ctx, chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
		return err
	}))
	if err != nil {
		t.Fatalf("setting the colour scheme: %v", err)
	}
}

// Eval returns the value of a script expression. It works with scripts off too, for it is the debugger that evaluates.
func Eval[T any](t *testing.T, p *Tab, expression string) T {
	t.Helper()
	v, err := chromedp.Run(p.Ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		t.Fatalf("evaluating %s: %v", expression, err)
	}
	return v
}

// WaitFor polls until the expression is true.
func (p *Tab) WaitFor(t *testing.T, expression string) {
	t.Helper()
	for range 400 {
		if Eval[bool](t, p, expression) {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("waited in vain for %s; console: %s", expression, p.Console())
}

// WaitDrawn waits until every chart of a report is drawn.
func (p *Tab) WaitDrawn(t *testing.T) {
	t.Helper()
	p.WaitFor(t, `document.documentElement.dataset.charts === "drawn"`)
}

// Console returns what the page wrote to the console, one message a line.
func (p *Tab) Console() string {
	time.Sleep(100 * time.Millisecond) // messages arrive apart from answers
	p.mu.Lock()
	defer p.mu.Unlock()
	return strings.Join(p.messages, "\n")
}

// WantQuietConsole fails the test if the page wrote anything to the console.
func (p *Tab) WantQuietConsole(t *testing.T) {
	t.Helper()
	if got := p.Console(); got != "" {
		t.Errorf("console: got %q, want nothing", got)
	}
}

// WantNoSideways fails the test if the page is wider than the screen.
func (p *Tab) WantNoSideways(t *testing.T) {
	t.Helper()
	if got, want := Eval[int](t, p, `document.documentElement.scrollWidth`), Eval[int](t, p, `innerWidth`); got > want {
		t.Errorf("the page is %d wide on a screen of %d: it scrolls sideways", got, want)
	}
}

// KeepShot saves a picture of the whole page into the folder that CHARTS_SHOTS names, for a person to look at.
func (p *Tab) KeepShot(t *testing.T, name string) {
	t.Helper()
	dir := os.Getenv("CHARTS_SHOTS")
	if dir == "" {
		return
	}
	png, err := chromedp.Run(p.Ctx, chromedp.FullScreenshot(100))
	if err != nil {
		t.Fatalf("screenshot: %v", err)
	}
	if err := os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644); err != nil {
		t.Fatal(err)
	}
}
