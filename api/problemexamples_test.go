package api

import (
	"context"
	"errors"
	"flag"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"vinetally/analytics/crop"
)

var update = flag.Bool("update", false, "write the answers that the documentation shows anew")

// TestProblemExamples sends the example of every kind of problem and compares the answer with the one that is shown.
func TestProblemExamples(t *testing.T) {
	c := testClient(t)
	// What the examples refer to: a cultivar with two versions, and a plant.
	for _, record := range [][2]string{
		{"/v1/seasons/" + exampleSeason, bodyExamples[crop.Seasons]}, {"/v1/places/" + examplePlace, bodyExamples[crop.Places]},
		{"/v1/cultivars/" + exampleCultivar, bodyExamples[crop.Cultivars]}, {"/v1/plants/" + examplePlant, bodyExamples[crop.Plants]},
	} {
		c.want(201, "PUT", record[0], record[1])
	}
	c.want(200, "PUT", "/v1/cultivars/"+exampleCultivar, `{"name": "Pip", "hold_days": 10}`)

	shown, answers := problemAnswers(), map[string]jsontext.Value{}
	for _, k := range problemKinds() {
		t.Run(k.path, func(t *testing.T) {
			request, ok := problemRequests[k.path]
			if !ok {
				t.Fatal("this kind has no example")
			}
			w := httptest.NewRecorder()
			handlerFor(k, c.handler).ServeHTTP(w, readExample(t, k, request))
			var got problem
			if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil {
				t.Fatalf("%v: %s", err, w.Body)
			}
			if w.Code != k.status || got.Status != k.status || got.Type != k.uri() {
				t.Errorf("the example is answered with status %d, %s", w.Code, w.Body)
			}
			answers[k.path] = w.Body.Bytes()
			if !slices.Equal(compacted(t, w.Body.Bytes()), compacted(t, shown[k.path])) && !*update {
				t.Errorf("the documentation shows another answer; go test ./api -run TestProblemExamples -update writes it anew. The server's is\n%s", w.Body)
			}
		})
	}
	if len(problemRequests) != len(problemKinds()) || len(shown) != len(problemKinds()) && !*update {
		t.Errorf("%d requests and %d answers of %d kinds", len(problemRequests), len(shown), len(problemKinds()))
	}
	if !*update || t.Failed() {
		return
	}
	body, err := json.Marshal(answers, json.Deterministic(true), jsontext.WithIndent(" "))
	if err == nil {
		err = os.WriteFile("docs/problems.json", append(body, '\n'), 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
}

func compacted(t *testing.T, body []byte) []byte {
	t.Helper()
	v := jsontext.Value(slices.Clone(body))
	if len(v) > 0 {
		if err := v.Compact(); err != nil {
			t.Fatal(err)
		}
	}
	return v
}

// handlerFor is a server that can meet the problem: the given one, or one whose store fails.
func handlerFor(k problemKind, usual http.Handler) http.Handler {
	failing := map[string]error{
		tooLittleRecorded.path: crop.Errorf(crop.InsufficientData, "this needs 6 visits; there are 3"),
		noFit.path:             crop.Errorf(crop.NoFit, "no curve fits the records"),
		internalError.path:     errors.New("input/output error"),
		busy.path:              crop.Errorf(crop.Busy, "the database is taken by another change; try again in a moment"),
		diskFull.path:          crop.Errorf(crop.Full, "disk full: free some space and try again; nothing of this change was stored"),
		notReady.path:          errors.New("input/output error"),
	}
	if failing[k.path] == nil {
		return usual
	}
	broken := newMemory()
	broken.fail = failing[k.path]
	return New(Config{Store: broken, Ping: func(context.Context) error { return broken.fail }, Now: func() time.Time { return testNow }, Logger: slog.New(slog.DiscardHandler), Hosts: testHosts})
}

// readExample makes the request that an example shows: the request line, headers, an empty line, the body.
func readExample(t *testing.T, k problemKind, text string) *http.Request {
	t.Helper()
	if text == "" { // no address answers so; any will do
		text = "GET /v1/seasons"
	}
	head, body, _ := strings.Cut(text, "\n\n")
	lines := strings.Split(head, "\n")
	method, target, _ := strings.Cut(lines[0], " ")
	r := httptest.NewRequest(method, target, strings.NewReader(body))
	for _, line := range lines[1:] {
		name, value, ok := strings.Cut(line, ": ")
		if !ok {
			t.Fatalf("%q is no header", line)
		}
		switch name {
		case "Content-Length":
		case "Host":
			r.Host = value
		default:
			r.Header.Set(name, value)
		}
	}
	switch k {
	case unreadableBody:
		r.Body = io.NopCloser(io.MultiReader(r.Body, brokenOff{}))
	case bodyTooLarge:
		r.Body = io.NopCloser(strings.NewReader(`{"name": "` + strings.Repeat("x", 1<<20)))
	}
	return r
}

// brokenOff is a connection that ends in the middle.
type brokenOff struct{}

func (brokenOff) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }
