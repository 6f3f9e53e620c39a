package api

import (
	"bytes"
	"crypto/sha256"
	_ "embed" // for the page's files
	"encoding/hex"
	"html/template"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/gin-gonic/gin"
)

// docsPolicy lets the documentation load its style from this server and nothing else; it has no script.
const docsPolicy = "default-src 'none'; style-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

var (
	//go:embed docs/docs.gohtml
	docsSource string
	//go:embed docs/docs.css
	docsStyle    []byte
	docsTemplate = template.Must(template.New("docs").Funcs(template.FuncMap{"words": words}).Parse(docsSource))
)

// words is a text of the description, in which names stand between backticks as in CommonMark, for a page.
func words(text string) template.HTML {
	var b strings.Builder
	for i, part := range strings.Split(text, "`") {
		part = template.HTMLEscapeString(part)
		if i%2 == 1 {
			part = "<code>" + part + "</code>"
		}
		b.WriteString(part)
	}
	return template.HTML(b.String()) // escaped above
}

// docsStyleName holds a part of the style's digest, so that it may be kept for ever.
var docsStyleName = sync.OnceValue(func() string {
	sum := sha256.Sum256(docsStyle)
	return "docs-" + hex.EncodeToString(sum[:])[:12] + ".css"
})

// docs is the served description as a page.
func (s *server) docs(c *gin.Context) error {
	if err := parseQuery(c).err(); err != nil {
		return err
	}
	page, err := s.described().asPage()
	if err != nil {
		return err
	}
	return writePage(c, docsPolicy, page)
}

// problemPage explains one kind of problem.
func (s *server) problemPage(c *gin.Context) error {
	if err := parseQuery(c).err(); err != nil {
		return err
	}
	at := slices.IndexFunc(problemKinds(), func(k problemKind) bool { return k.path == c.Param("problem") })
	if at < 0 {
		return refuse(noSuchAddress, "there is no problem %s; /docs lists them", strconv.Quote(c.Param("problem")))
	}
	k := problemKinds()[at]
	var b bytes.Buffer
	err := docsTemplate.ExecuteTemplate(&b, "one problem", struct {
		Title, Style string
		Problem      docsProblem
	}{k.title, assetBase + "/" + docsStyleName(), newDocsProblem(k)})
	if err != nil {
		return err
	}
	return writePage(c, docsPolicy, b.Bytes())
}

func docsOperation(about string, problems []problemKind, parameters ...string) operation {
	o := page(about, parameters...)
	o.problems = append(problems, invalidParameter, internalError)
	return o
}

type docsProblem struct {
	Path, URI, Title, About string
	Status                  int
	Request, Answer         string // an example
}

func newDocsProblem(k problemKind) docsProblem {
	return docsProblem{k.path, k.uri(), k.title, k.about, k.status, problemRequests[k.path], pretty(problemAnswers()[k.path])}
}

// writeStyle answers the documentation's style.
func writeStyle(c *gin.Context) error {
	c.Header("Cache-Control", "public, max-age=31536000, immutable")
	write(c.Writer, http.StatusOK, "text/css; charset=utf-8", docsStyle)
	return nil
}
