package api

import (
	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// byStage is a number for each stage of a scale; in JSON an object in the order of the scale, null where not known.
type byStage[T int | *int | float64] struct {
	stages  []string
	numbers []T
}

// MarshalJSONTo writes the object.
func (b byStage[T]) MarshalJSONTo(enc *jsontext.Encoder) error {
	if err := enc.WriteToken(jsontext.BeginObject); err != nil {
		return err
	}
	for i, n := range b.numbers {
		if err := enc.WriteToken(jsontext.String(b.stages[i])); err != nil {
			return err
		}
		if err := json.MarshalEncode(enc, n); err != nil {
			return err
		}
	}
	return enc.WriteToken(jsontext.EndObject)
}
