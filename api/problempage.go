package api

import (
	"bytes"
	"net/http"
	"strings"

	"vinetally/charts"
)

// wantsPage tells whether somebody asks with a browser for what may be a page: an old link to a report is answered in words and
// with a way on, not with JSON. Scripts and the addresses of records get the problem itself.
func wantsPage(r *http.Request) bool {
	return (r.Method == http.MethodGet || r.Method == http.MethodHead) && !strings.HasPrefix(r.URL.Path, "/v1/") &&
		r.URL.Path != "/openapi.json" && r.URL.Path != "/healthz" && r.URL.Path != "/readyz" &&
		strings.Contains(r.Header.Get("Accept"), "text/html")
}

// sentence is a detail as a sentence for people; the name of a parameter stays as it is written in the address.
func sentence(detail string) string {
	if name, _, _ := strings.Cut(detail, " "); strings.Contains(name, "_") {
		return "The parameter " + detail + "."
	}
	return strings.ToUpper(detail[:1]) + detail[1:] + "."
}

func writeProblemPage(w http.ResponseWriter, p *problem) {
	page := charts.Page{Title: p.Title, Subtitle: sentence(p.Detail)}
	if p.Status != http.StatusMisdirectedRequest { // where every link is refused
		page.Sections = []charts.Section{{Heading: "Where to go from here", Links: []charts.Link{
			{Text: "All seasons", Href: "/", Detail: "each with its report, which leads to those of its plants"},
			{Text: "The documentation", Href: "/docs", Detail: "every address of this server, and what each refusal means"}}}}
	}
	if p.Reference != "" {
		page.Footer = "Reference for the server's log: " + p.Reference
	}
	var b bytes.Buffer
	if err := charts.WriteServed(&b, page, assetBase); err != nil { // a page of plain text
		panic(err)
	}
	w.Header().Set("Content-Security-Policy", charts.ServedCSP)
	write(w, p.Status, "text/html; charset=utf-8", b.Bytes())
}
