package charts

import (
	"testing"
)

func TestPageInBrowser(t *testing.T) {
	browser := startBrowser(t)
	url := pageFile(t, samplePage())
	for _, s := range []screen{
		{width: 390, height: 844}, {width: 390, height: 844, dark: true},
		{width: 1280, height: 800}, {width: 1280, height: 800, dark: true},
	} {
		t.Run(s.String(), func(t *testing.T) {
			p := openTab(t, browser, s, url)
			p.waitDrawn(t)
			p.keepShot(t, s.String())
			p.wantQuietConsole(t)
			if got, want := eval[int](t, p, `document.documentElement.scrollWidth`), int(s.width); got > want {
				t.Errorf("the page is %d wide on a screen of %d: it scrolls sideways", got, want)
			}
		})
	}
}
