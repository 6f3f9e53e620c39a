// Package browsertest opens pages in a headless browser for tests: on screens of several sizes, light and dark, with
// scripts on and off, and with everything that a page writes to the console. No name resolves in this browser, so a page
// that asks the network for anything fails and says so on the console.
package browsertest

import (
	"context"
	"os/exec"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// Start starts a headless browser and returns its context, or skips the test aloud where there is none.
func Start(t *testing.T) context.Context {
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
		chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"))
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Minute)
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

// Open opens an address in a tab of its own.
func Open(t *testing.T, browser context.Context, s Screen, url string) *Tab {
	t.Helper()
	ctx, cancel := chromedp.NewContext(browser)
	t.Cleanup(cancel)
	p := &Tab{Ctx: ctx}
	p.SetDark(t, s.Dark)
	if err := chromedp.Do(ctx,
		chromedp.EmulateViewport(s.Width, s.Height),
		chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
			_, err := cdp.Call(ctx, target, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: s.ScriptsOff})
			return err
		}),
	); err != nil {
		t.Fatalf("preparing the tab: %v", err)
	}
	go p.listen(chromedp.Console(ctx))
	if err := chromedp.Do(ctx, chromedp.Navigate(url)); err != nil {
		t.Fatalf("opening %s: %v", url, err)
	}
	return p
}
