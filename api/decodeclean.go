package api

import (
	"bytes"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"vinetally/analytics/crop"
)

// decodeClean reads the body of a record in one pass, if there is no fault in it: then it is what decodePieces reads. If not,
// decodePieces tells the faults.
func decodeClean(kind crop.Kind, body []byte) (sent, bool) {
	if jsontext.Value(bytes.TrimLeft(body, " \t\r\n")).Kind() != '{' {
		return sent{}, false
	}
	in, timeKnown, err := cleanDecoders[kind](body)
	if err != nil || len(checkBase(in.base)) > 0 || len(setTimeKnown(in.record, timeKnown)) > 0 {
		return sent{}, false
	}
	return in, true
}

var cleanDecoders = map[crop.Kind]func(body []byte) (in sent, timeKnown *bool, err error){
	crop.Seasons: clean[crop.Season, aside], crop.Places: clean[crop.Place, aside], crop.Scales: clean[crop.Scale, aside],
	crop.Cultivars: clean[crop.Cultivar, aside], crop.Plants: clean[crop.Plant, aside],
	crop.Visits: clean[crop.Visit, timedAside], crop.Pickings: clean[crop.Picking, timedAside], crop.Losses: clean[crop.Loss, timedAside],
	crop.Diary: clean[crop.DiaryEntry, timedAside], crop.Temperatures: clean[crop.Temperature, aside],
	crop.Germinations: clean[crop.Germination, aside],
}

func clean[T, A any, R interface {
	*T
	crop.Record
}, B interface {
	*A
	besides
}](body []byte) (in sent, timeKnown *bool, err error) {
	var whole struct {
		Record T `json:",embed"`
		Beside A `json:",embed"`
	}
	err = json.Unmarshal(body, &whole, bodyOptions)
	base, timeKnown := B(&whole.Beside).values()
	return sent{R(&whole.Record), base}, timeKnown, err
}

// besides is what may stand beside a record's fields.
type besides interface {
	values() (base *int64, timeKnown *bool)
}

// aside is what may stand beside the fields of any kind.
type aside struct {
	Base       *int64 `json:"base_version"`
	Version    passed `json:"version"`
	RecordedAt passed `json:"recorded_at"`
	RecordedBy passed `json:"recorded_by"`
	Warnings   passed `json:"warnings"`
	Deleted    passed `json:"deleted"`
}

func (a *aside) values() (*int64, *bool) { return a.Base, nil }

// timedAside is aside for the kinds that have a moment.
type timedAside struct {
	aside
	TimeKnown *bool `json:"time_known"`
}

func (a *timedAside) values() (*int64, *bool) { return a.Base, a.TimeKnown }

// passed is a field that only answers have.
type passed struct{}

// UnmarshalJSONFrom passes over the value.
func (*passed) UnmarshalJSONFrom(dec *jsontext.Decoder) error { return dec.SkipValue() }
