package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"log/slog"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"vinetally/analytics/crop"
	"vinetally/api"
	"vinetally/charts"
	"vinetally/storage"
)

// document is a report for scripts: the sentences of the page, and under the names of their addresses the answers of the REST interface
// that the page rests on, as of the same moment.
func (c *reportCommand) document(db *storage.DB, trial *crop.Trial, page charts.Page, asOf time.Time) ([]byte, error) {
	type part struct {
		name, path string
		hold       bool
	}
	parts := []part{{"curves", "/curves", false}, {"forecast", "/forecast", true}, {"past_ripe", "/past-ripe", true}, {"yield", "/yield", false}, {"waste", "/waste", true}, {"germination", "/germination", false}}
	base := "/v1/seasons/" + trial.Season.ID.String()
	document := map[string]any{"season": trial.Season.Name, "as_of": asOf, "answer": sentences(page), "warnings": page.Warnings, "rests_on": page.RestsOn}
	for i := range page.Sections {
		if s := &page.Sections[i]; s.ID == charts.MethodsID {
			document["methods"], document["works"] = s.Sentence, s.Notes
		}
	}
	if c.Plant != "" {
		plant, err := plantNamed(trial, c.Plant)
		if err != nil {
			return nil, err
		}
		document["plant"] = plant.Label
		parts = []part{{"ledger", "/ledger", false}}
		base = "/v1/plants/" + plant.ID.String()
	}
	handler := api.New(api.Config{Store: records{db.Site()}, Logger: slog.New(slog.DiscardHandler)})
	for _, p := range parts {
		query := url.Values{"as_of": {asOf.UTC().Format(time.RFC3339Nano)}}
		if p.hold && c.HoldDays != nil {
			query.Set("hold_days", strconv.FormatFloat(*c.HoldDays, 'g', -1, 64))
		}
		answer, err := ask(handler, base+p.path+"?"+query.Encode())
		if err != nil {
			return nil, fmt.Errorf("%s: %w", p.name, err)
		}
		document[p.name] = answer
	}
	text, err := json.MarshalIndent(document, "", "  ")
	return append(text, '\n'), err
}

func sentences(page charts.Page) []string {
	all := []string{}
	for _, s := range page.Answer {
		all = append(all, s.Text)
	}
	return all
}

// ask gets an answer from the interface without a network.
func ask(handler http.Handler, address string) (json.RawMessage, error) {
	r, err := http.NewRequest(http.MethodGet, address, nil)
	if err != nil {
		return nil, err
	}
	w := &reply{header: http.Header{}, status: http.StatusOK}
	handler.ServeHTTP(w, r)
	if w.status != http.StatusOK {
		return nil, fmt.Errorf("status %d: %s", w.status, w.body.Bytes())
	}
	return w.body.Bytes(), nil
}

// reply keeps an answer in memory.
type reply struct {
	header http.Header
	status int
	body   bytes.Buffer
}

func (r *reply) Header() http.Header         { return r.header }
func (r *reply) WriteHeader(status int)      { r.status = status }
func (r *reply) Write(b []byte) (int, error) { return r.body.Write(b) }
