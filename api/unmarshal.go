package api

import (
	"errors"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"vinetally/analytics/crop"
)

// bodyOptions read the fields of records. Duplicate names, invalid UTF-8 and names in another case are refused by
// default.
var bodyOptions = json.JoinOptions(
	json.RejectUnknownMembers(true),
	json.WithUnmarshalers(json.JoinUnmarshalers(json.UnmarshalFromFunc(readCounts), json.UnmarshalFromFunc(readStage))),
)

// readCounts reads the counts by stage. A null is a stage that was not counted, and is left out: it must not become 0.
func readCounts(dec *jsontext.Decoder, counts *map[string]int) error {
	if dec.PeekKind() != '{' {
		return errors.ErrUnsupported
	}
	if _, err := dec.ReadToken(); err != nil {
		return err
	}
	*counts = map[string]int{}
	for dec.PeekKind() != '}' {
		name, err := dec.ReadToken()
		if err != nil {
			return err
		}
		stage := name.String()
		if dec.PeekKind() == 'n' {
			if err := dec.SkipValue(); err != nil {
				return err
			}
			continue
		}
		var n int
		if err := json.UnmarshalDecode(dec, &n); err != nil {
			return err
		}
		(*counts)[stage] = n
	}
	_, err := dec.ReadToken()
	return err
}

// readStage takes a plain string for a stage without a description.
func readStage(dec *jsontext.Decoder, stage *crop.Stage) error {
	if dec.PeekKind() != '"' {
		return errors.ErrUnsupported
	}
	*stage = crop.Stage{}
	return json.UnmarshalDecode(dec, &stage.Name)
}
