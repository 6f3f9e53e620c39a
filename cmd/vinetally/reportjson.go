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
	"vinetally/analytics/report"
	"vinetally/api"
	"vinetally/charts"
	"vinetally/storage"
)

// document is a report for scripts: the sentences of the page, and under the names of their addresses the answers of the REST interface
// that the page rests on, as of the same moment; of a plant's page what they hold of the plant.
func (c *reportCommand) document(db *storage.DB, trial *crop.Trial, page charts.Page, r *report.Season) ([]byte, error) {
	type part struct {
		name, path string
		hold       bool
	}
	parts := []part{{"curves", "/curves", false}, {"forecast", "/forecast", true}, {"past_ripe", "/past-ripe", true}, {"fit", "/fit", false}, {"yield", "/yield", false}, {"waste", "/waste", true}, {"germination", "/germination", false}}
	base := "/v1/seasons/" + trial.Season.ID.String()
	document := map[string]any{"season": trial.Season.Name, "as_of": nil, "answer": sentences(page), "warnings": page.Warnings, "rests_on": page.RestsOn}
	at := "?"
	if !r.AsOf.IsZero() { // zero where nothing is recorded; the answers then speak of now
		document["as_of"] = r.AsOf
		at += url.Values{"as_of": {r.AsOf.UTC().Format(time.RFC3339Nano)}}.Encode()
	}
	for i := range page.Sections {
		if s := &page.Sections[i]; s.ID == charts.MethodsID {
			document["methods"], document["works"] = s.Sentence, s.Notes
		}
	}
	var only *crop.ID
	if c.Plant != "" {
		plant, err := plantNamed(trial, c.Plant)
		if err != nil {
			return nil, err
		}
		document["plant"], only = plant.Label, &plant.ID
		parts = parts[:len(parts)-1] // germination is of lots
	}
	handler := api.New(api.Config{Store: records{db.Site()}, Logger: slog.New(slog.DiscardHandler)})
	for _, p := range parts {
		query := url.Values{}
		if p.hold && c.HoldDays != nil {
			query.Set("hold_days", strconv.FormatFloat(*c.HoldDays, 'g', -1, 64))
		}
		switch {
		case p.name == "yield" && c.Price != nil:
			query.Set("price_per_kg", strconv.FormatFloat(*c.Price, 'g', -1, 64))
		case p.name == "fit" && only != nil:
			query.Set("plant_id", only.String())
		case p.name == "curves" && only != nil:
			query.Set("clock", string(r.Curves.Clock)) // a plant's page chooses by the plant's own counts
		}
		answer, err := ask(handler, base+p.path+at+"&"+query.Encode())
		if err == nil && only != nil {
			answer, err = ofPlant(answer, only.String())
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", p.name, err)
		}
		document[p.name] = answer
	}
	if only != nil {
		ledger, err := ask(handler, "/v1/plants/"+only.String()+"/ledger"+at)
		if err != nil {
			return nil, fmt.Errorf("ledger: %w", err)
		}
		document["ledger"] = ledger
	}
	text, err := json.Marshal(document)
	if err != nil || len(text) > mostIndented {
		return append(text, '\n'), err
	}
	var b bytes.Buffer
	if err := json.Indent(&b, text, "", "  "); err != nil {
		return nil, err
	}
	b.WriteByte('\n')
	return b.Bytes(), nil
}

// mostIndented is up to how many bytes a document has a line for each number. Nobody reads a longer one, and it would be half as long again.
const mostIndented = 8 << 20

// ofPlant keeps of a season's answer what is of one plant, and what holds for all of it: the moment, clock, levels and warnings. Its lists
// keep the items that name the plant.
func ofPlant(answer json.RawMessage, id string) (json.RawMessage, error) {
	var all map[string]json.RawMessage
	if err := json.Unmarshal(answer, &all); err != nil {
		return nil, err
	}
	for name, part := range all {
		switch name {
		case "plants", "curves", "refused", "surprises", "misfits":
			var items []json.RawMessage
			if err := json.Unmarshal(part, &items); err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
			own := []json.RawMessage{}
			for _, item := range items {
				var of struct {
					PlantID *string `json:"plant_id"`
				}
				if err := json.Unmarshal(item, &of); err != nil {
					return nil, fmt.Errorf("%s: %w", name, err)
				}
				if of.PlantID != nil && *of.PlantID == id {
					own = append(own, item)
				}
			}
			kept, err := json.Marshal(own)
			if err != nil {
				return nil, err
			}
			all[name] = kept
		case "as_of", "clock", "days", "hold_days", "level", "method", "price_per_kg", "warnings":
		default:
			delete(all, name)
		}
	}
	return json.Marshal(all)
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
