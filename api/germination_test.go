package api

import (
	"encoding/json"
	"strings"
	"testing"
)

func TestGermination(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	at := "/v1/seasons/" + lab.season + "/germination"
	if none := c.want(200, "GET", at, "").body; !strings.Contains(none, `"lots":[]`) || !strings.Contains(none, "No germination count") {
		t.Errorf("of no counts: %s", none)
	}
	for _, count := range []string{`"2025-10-05", "emerged": 0`, `"2025-10-07", "emerged": 3`, `"2025-10-08", "emerged": 9`, `"2025-10-17", "emerged": 11`} {
		c.add("germination", lab.fill(`{"season_id": "SEASON", "cultivar_id": "CULTIVAR", "lot": "T-1", "sown_on": "2025-10-01", "seeds": 12, "counted_on": `+count+`}`))
	}
	got := decoded[germinationAnswer](t, c.want(200, "GET", at, "").body)
	if len(got.Lots) != 1 {
		t.Fatalf("got %d lots, want 1", len(got.Lots))
	}
	l := got.Lots[0]
	if l.Emerged != 11 || l.EmergedLate == nil || *l.EmergedLate != 2 || l.Share.Low < 0.698 || l.Share.Low > 0.7 || *l.T50Days < 6 || *l.T50Days > 7 || l.Published != nil || len(l.Warnings) == 0 {
		t.Errorf("got %+v", l)
	}
	early := decoded[germinationAnswer](t, c.want(200, "GET", at+"?as_of=2025-10-07T12:00:00Z", "").body)
	if len(early.Lots) != 1 || early.Lots[0].Emerged != 3 || early.Lots[0].EmergedLate != nil {
		t.Errorf("as of 7 October: %+v", early.Lots)
	}
	c.want(404, "GET", "/v1/seasons/0198b2c4-0000-7000-8000-000000000001/germination", "")
}

func decoded[T any](t *testing.T, body string) (v T) {
	t.Helper()
	if err := json.Unmarshal([]byte(body), &v); err != nil {
		t.Fatal(err)
	}
	return v
}
