package api

import (
	"regexp"
	"strings"
	"testing"
)

// TestDocsPage: the page stands alone under its policy (Content Security Policy Level 3), every link leads somewhere, and
// every route, schema and problem is on it.
func TestDocsPage(t *testing.T) {
	c := testClient(t)
	r := c.want(200, "GET", "/docs", "")
	if got := r.header.Get("Content-Security-Policy"); got != docsPolicy || strings.Contains(got, "unsafe") {
		t.Errorf("policy %q", got)
	}
	for _, banned := range []string{"<script", "<style", " style=", " onclick", "<img", "<iframe", "href=\"http", "src="} {
		if strings.Contains(r.body, banned) {
			t.Errorf("the page has %s in it, which its policy or its being offline forbids", banned)
		}
	}
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(` id="([^"]+)"`).FindAllStringSubmatch(r.body, -1) {
		if ids[m[1]] {
			t.Errorf("the id %q stands twice", m[1])
		}
		ids[m[1]] = true
	}
	followed := map[string]bool{}
	for _, m := range regexp.MustCompile(`href="([^"]+)"`).FindAllStringSubmatch(r.body, -1) {
		if anchor, ok := strings.CutPrefix(m[1], "#"); ok {
			if !ids[anchor] {
				t.Errorf("the link %s leads nowhere", m[1])
			}
		} else if !followed[m[1]] {
			followed[m[1]] = true
			c.want(200, "GET", m[1], "")
		}
	}
	for _, route := range (&server{}).routes() {
		if !ids[route.operationID()] {
			t.Errorf("%s %s is not on the page", route.method, route.path)
		}
	}
	for _, component := range newComponents().components {
		if !ids["schema-"+component.name] {
			t.Errorf("the schema %s is not on the page", component.name)
		}
	}
	for _, k := range problemKinds() {
		if !ids["problem-"+k.path] {
			t.Errorf("the problem %s is not on the page", k.path)
		}
		one := c.want(200, "GET", k.uri(), "")
		if !strings.Contains(one.body, "Status ") || !strings.Contains(one.body, k.uri()) || one.header.Get("Content-Security-Policy") != docsPolicy {
			t.Errorf("%s: the page of the problem is %s", k.uri(), one.body)
		}
	}
	c.want(404, "GET", "/problems/none", "")
	for _, says := range []string{"Order at one time", "Days alone", "Coverage", "curl -s", "0.25 to 365 d", "-273.15 to 1000 °C", "2 to 24 items", "0 or more fruit",
		"Crossing</a> or null", "list of text or <a", "such as <code>&#34;3&#34;</code>", "place,measured_at,air_c"} {
		if !strings.Contains(r.body, says) {
			t.Errorf("the page doesn't say %q", says)
		}
	}
	style := c.want(200, "GET", assetBase+"/"+docsStyleName(), "")
	if !strings.Contains(style.body, "prefers-color-scheme: dark") || strings.Contains(style.body, "url(") || !strings.Contains(style.header.Get("Cache-Control"), "immutable") {
		t.Errorf("the style lacks a dark mode, loads something, or isn't kept: %v", style.header)
	}
}

// TestNamesInWords: names in descriptions stand between backticks, all of which are closed; the pages show them as code.
func TestNamesInWords(t *testing.T) {
	c := testClient(t)
	var walk func(at string, v any)
	walk = func(at string, v any) {
		switch v := v.(type) {
		case map[string]any:
			for name, part := range v {
				if text, ok := part.(string); ok && name == "description" && strings.Count(text, "`")%2 != 0 {
					t.Errorf("%s: a backtick isn't closed in %q", at, text)
				}
				walk(at+"/"+name, part)
			}
		case []any:
			for _, part := range v {
				walk(at, part)
			}
		}
	}
	walk("", c.want(200, "GET", "/openapi.json", "").object(t))
	for _, path := range []string{"/docs", "/problems/invalid-record"} {
		page := c.want(200, "GET", path, "").body
		for text := range strings.SplitSeq(page, "<pre>") { // recipes hold shell and R, which have backticks of their own
			if _, after, found := strings.Cut(text, "</pre>"); found {
				text = after
			}
			if at := strings.IndexByte(text, '`'); at >= 0 {
				t.Errorf("%s shows a backtick: %q", path, text[max(0, at-60):min(len(text), at+60)])
			}
		}
		if !strings.Contains(page, "<code>errors</code> lists every place with the value") {
			t.Errorf("%s doesn't show errors as code", path)
		}
	}
	if got := string(words("a `<b>` & `c`")); got != "a <code>&lt;b&gt;</code> &amp; <code>c</code>" {
		t.Errorf("got %s", got)
	}
}
