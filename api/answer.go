package api

import (
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"
	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"vinetally/analytics/crop"
)

// answerOptions write the same bytes for the same value, and every moment as an instant of RFC 3339: a day alone shows
// the instant that stands in for it.
var answerOptions = json.JoinOptions(
	json.Deterministic(true),
	jsontext.AllowInvalidUTF8(true), // shown as U+FFFD; a stored text that got damaged must still be readable
	json.WithMarshalers(json.JoinMarshalers(
		json.MarshalToFunc(func(enc *jsontext.Encoder, t time.Time) error { return writeInstant(enc, t) }),
		json.MarshalToFunc(func(enc *jsontext.Encoder, m crop.Moment) error { return writeInstant(enc, m.At) }),
	)),
)

func writeInstant(enc *jsontext.Encoder, t time.Time) error {
	if t.IsZero() {
		return enc.WriteToken(jsontext.Null)
	}
	return enc.WriteToken(jsontext.String(crop.Stamp(t)))
}

func marshal(v any) ([]byte, error) { return json.Marshal(v, answerOptions) }

// marshalStored writes the fields of a record and then those that only answers have, extra last.
func marshalStored(s crop.Stored, extra any) (jsontext.Value, error) {
	kept := struct {
		TimeKnown  *bool     `json:"time_known,omitzero"`
		Version    int64     `json:"version"`
		RecordedAt time.Time `json:"recorded_at"`
		RecordedBy string    `json:"recorded_by"`
	}{nil, s.Version, s.RecordedAt.UTC(), s.Actor}
	if m := crop.MomentOf(s.Record); m != nil {
		kept.TimeKnown = new(m.TimeKnown())
	}
	return joinObjects(s.Record, kept, extra)
}

// joinObjects marshals every part, each an object, into one object.
func joinObjects(parts ...any) (jsontext.Value, error) {
	joined := []byte{'{'}
	for _, part := range parts {
		object, err := marshal(part)
		if err != nil {
			return nil, err
		}
		if members := object[1 : len(object)-1]; len(members) > 0 {
			if len(joined) > 1 {
				joined = append(joined, ',')
			}
			joined = append(joined, members...)
		}
	}
	return append(joined, '}'), nil
}

// respond answers with a value as JSON.
func respond(c *gin.Context, status int, v any) error {
	body, err := marshal(v)
	if err != nil {
		return err
	}
	write(c.Writer, status, mediaJSON, body)
	return nil
}

func write(w http.ResponseWriter, status int, contentType string, body []byte) {
	w.Header().Set("Content-Type", contentType)
	w.Header().Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(status)
	_, _ = w.Write(body) // the client has gone if this fails
}
