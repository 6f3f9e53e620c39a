package charts

import (
	"bytes"
	_ "embed" // for the template
	"fmt"
	"html/template"
	"io"
	"strings"
	"sync"
)

//go:embed assets/page.gohtml
var pageSource string

var pageTemplate = template.Must(template.New("page").Parse(pageSource))

// WriteFile writes the page as one self-contained HTML file: script and style are inside, nothing is fetched, and a
// policy in the page names the digests of the scripts and styles that may run.
//
// Nothing is written if the page's structure is at fault; see [Check]. A figure that can't be drawn is replaced by a
// sentence that says why, because the rest of a report is worth having without it.
func WriteFile(w io.Writer, p Page) error {
	v, err := newView(p)
	if err != nil {
		return err
	}
	style := inlineStyle()
	v.Style = template.CSS(style)
	sources := make([]string, 0, 2)
	for _, script := range inlineScripts(v.HasCharts) {
		v.Scripts = append(v.Scripts, template.JS(script))
		sources = append(sources, policyHash(script))
	}
	v.Policy = "default-src 'none'; script-src " + strings.Join(sources, " ") + "; style-src " + policyHash(style) +
		"; style-src-attr 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'"
	return execute(w, v)
}

// WriteServed writes the same page for a server that has the files of [Assets] under assetBase ("/assets") and sends
// [ServedCSP] with the page.
func WriteServed(w io.Writer, p Page, assetBase string) error {
	v, err := newView(p)
	if err != nil {
		return err
	}
	base := strings.TrimSuffix(assetBase, "/") + "/"
	s := loaded()
	v.StyleHref = base + s.style.Name
	if v.HasCharts {
		v.ScriptHrefs = append(v.ScriptHrefs, base+s.echarts.Name)
	}
	v.ScriptHrefs = append(v.ScriptHrefs, base+s.script.Name)
	return execute(w, v)
}

func execute(w io.Writer, v view) error {
	var b bytes.Buffer
	if err := pageTemplate.Execute(&b, v); err != nil {
		return fmt.Errorf("page %q: %w", v.Title, err)
	}
	if _, err := b.WriteTo(w); err != nil {
		return fmt.Errorf("writing page %q: %w", v.Title, err)
	}
	return nil
}

// inlineStyle and inlineScripts are the texts between the tags, exactly as they are hashed. The line ends are those that
// an HTML parser leaves.
var inlineStyle = sync.OnceValue(func() string { return unixLines(reportStyle) })

func inlineScripts(charts bool) []string {
	s := loaded()
	if charts {
		return []string{unixLines(s.echarts.plain), unixLines(s.script.plain)}
	}
	return []string{unixLines(s.script.plain)}
}

func unixLines(b []byte) string {
	return strings.ReplaceAll(strings.ReplaceAll(string(b), "\r\n", "\n"), "\r", "\n")
}
