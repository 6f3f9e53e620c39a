package charts

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	_ "embed" // for the files below
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"io"
	"slices"
	"sync"
)

// EChartsVersion is the version of the embedded chart library.
const EChartsVersion = "6.1.0"

// ServedCSP is the Content-Security-Policy that a server sends with a page of [WriteServed]. Inline style attributes are
// allowed because the chart library's tooltips need them; inline scripts and styles are not.
const ServedCSP = "default-src 'none'; script-src 'self'; style-src 'self'; style-src-attr 'unsafe-inline'; " +
	"img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

var (
	//go:embed assets/echarts.min.js.gz
	echartsGzip []byte
	//go:embed assets/report.js
	reportScript []byte
	//go:embed assets/report.css
	reportStyle []byte
	//go:embed assets/NOTICE-echarts
	noticeECharts []byte
	//go:embed assets/LICENSE-echarts
	licenceECharts []byte
	//go:embed assets/LICENSE-zrender
	licenceZRender []byte
	//go:embed assets/LICENSE-d3
	licenceD3 []byte
)

// Asset is a file that served pages link to. Its name holds a part of its digest, so it may be cached for ever.
type Asset struct {
	// Name is the file name, to be served under the base address given to [WriteServed].
	Name        string
	ContentType string
	// Gzip is the compressed content, to be sent with Content-Encoding: gzip.
	Gzip []byte
	// SHA256 is the digest of the plain content, in hexadecimal.
	SHA256 string

	plain []byte
}

// Plain returns the content uncompressed, for clients that don't take gzip. The bytes may not be changed.
func (a Asset) Plain() []byte { return a.plain }

// Notice is a text that goes with the embedded third-party files.
type Notice struct {
	Name string
	Text string
}

// Notices returns the licences and notices of the embedded third-party files, for a page or command that shows them.
func Notices() []Notice {
	return []Notice{
		{"Apache ECharts " + EChartsVersion + ": NOTICE", string(noticeECharts)},
		{"Apache ECharts " + EChartsVersion + ": LICENSE", string(licenceECharts)},
		{"ZRender, in Apache ECharts: LICENSE", string(licenceZRender)},
		{"d3.js, parts in Apache ECharts: LICENSE", string(licenceD3)},
	}
}

// Assets returns the files that served pages link to. The slice is the caller's, the bytes are shared.
func Assets() []Asset {
	s := loaded()
	return []Asset{s.echarts, s.script, s.style}
}

// AssetByName returns the asset of that name.
func AssetByName(name string) (Asset, bool) {
	all := Assets()
	i := slices.IndexFunc(all, func(a Asset) bool { return a.Name == name })
	if i < 0 {
		return Asset{}, false
	}
	return all[i], true
}

type assetSet struct {
	echarts, script, style Asset
}

// loaded unpacks the embedded files once. They are part of the program, so a fault in them is a fault of the program.
var loaded = sync.OnceValue(func() assetSet {
	plain, err := gunzip(echartsGzip)
	if err != nil {
		panic(fmt.Sprintf("charts: embedded chart library: %v", err))
	}
	const js, css = "text/javascript; charset=utf-8", "text/css; charset=utf-8"
	return assetSet{
		echarts: newAsset("echarts", ".js", js, plain, echartsGzip),
		script:  newAsset("report", ".js", js, reportScript, compress(reportScript)),
		style:   newAsset("report", ".css", css, reportStyle, compress(reportStyle)),
	}
})

func newAsset(stem, suffix, contentType string, plain, packed []byte) Asset {
	sum := sha256.Sum256(plain)
	digest := hex.EncodeToString(sum[:])
	return Asset{Name: stem + "-" + digest[:12] + suffix, ContentType: contentType, Gzip: packed, SHA256: digest, plain: plain}
}

func gunzip(packed []byte) ([]byte, error) {
	r, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, err
	}
	return io.ReadAll(r)
}

func compress(plain []byte) []byte {
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err == nil {
		_, err = w.Write(plain)
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		panic(fmt.Sprintf("charts: compressing an embedded file: %v", err)) // a buffer takes every write
	}
	return b.Bytes()
}

// policyHash is the source expression for an inline script or style (Content Security Policy Level 3, section 2.3.1).
func policyHash(content string) string {
	sum := sha256.Sum256([]byte(content))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}
