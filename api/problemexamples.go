package api

import (
	_ "embed" // for the answers
	"sync"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

const (
	sendJSON = "\nContent-Type: application/json\n\n"
	sendCSV  = "\nContent-Type: text/csv\n\n"
)

// problemRequests has a request that meets each kind of problem, by the kind's path, as it goes over the wire; empty for
// those that no address answers with.
var problemRequests = map[string]string{
	malformedJSON.path:     "POST /v1/seasons" + sendJSON + `{"name": "Summer 2026",}`,
	malformedCSV.path:      "POST /v1/temperatures/bulk" + sendCSV + "place,time,air_c\nbalcony,2026-02-03T08:00:00Z,18.5",
	unreadableBody.path:    "POST /v1/seasons\nContent-Length: 23" + sendJSON + `{"name": "Sum`,
	invalidParameter.path:  "GET /v1/counts?plant=A1&limit=1000",
	crossOrigin.path:       "POST /v1/seasons\nOrigin: https://elsewhere.example" + sendJSON + `{"name": "Summer 2026"}`,
	noSuchRecord.path:      "GET /v1/counts/" + exampleID,
	noSuchAddress.path:     "GET /v1/count",
	methodNotAllowed.path:  "PATCH /v1/plants/" + examplePlant + sendJSON + `{"label": "A2"}`,
	conflicting.path:       "DELETE /v1/places/" + examplePlace,
	staleVersion.path:      "PUT /v1/cultivars/" + exampleCultivar + sendJSON + `{"name": "Pip", "hold_days": 5, "base_version": 1}`,
	preconditionWrong.path: "PUT /v1/cultivars/" + exampleCultivar + "\nIf-Match: \"1\"" + sendJSON + `{"name": "Pip", "hold_days": 5}`,
	bodyTooLarge.path:      "POST /v1/seasons\nContent-Length: 1048577" + sendJSON + `{"name": "…"}`,
	misdirected.path:       "GET /v1/seasons\nHost: elsewhere.example",
	notAccepted.path:       "POST /v1/seasons\nContent-Type: application/x-www-form-urlencoded\n\nname=Summer",
	invalidRecord.path: "POST /v1/counts" + sendJSON +
		`{"plant_id": "` + examplePlant + `", "counted_at": "2025-09-01", "counts": {"green": -3, "purple": 1}}`,
	tooLittleRecorded.path: "",
	noFit.path:             "",
	internalError.path:     "GET /v1/seasons\nX-Request-Id: phone-0421",
	busy.path:              "POST /v1/seasons\nX-Request-Id: phone-0422" + sendJSON + `{"name": "Summer 2026"}`,
	diskFull.path:          "POST /v1/seasons\nX-Request-Id: phone-0424" + sendJSON + `{"name": "Summer 2026"}`,
	notReady.path:          "GET /readyz\nX-Request-Id: phone-0423",
}

// problemAnswersFile holds the bodies of the answers to problemRequests, by the kind's path. A test sends the requests and
// compares; with -update it writes the file anew.
//
//go:embed docs/problems.json
var problemAnswersFile []byte

var problemAnswers = sync.OnceValue(func() map[string]jsontext.Value {
	var all map[string]jsontext.Value
	if err := json.Unmarshal(problemAnswersFile, &all); err != nil { // it is embedded; a test reads it
		panic(err)
	}
	return all
})
