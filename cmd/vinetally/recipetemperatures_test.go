package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"
)

func sendTemperatures(t *testing.T, k *kitchen) {
	needsPrograms(t, "sh", "curl", "awk")
	const place = `"bench", left`
	k.addPlace(t, place, "UTC")
	k.write(t, "logger.csv", loggerFile)
	first := k.run(t, "", "sh", "send-temperatures.sh", "logger.csv", place, "+01:00")
	again := k.run(t, "", "sh", "send-temperatures.sh", "logger.csv", place, "+01:00")
	if !strings.Contains(first, `"created":3`) || !strings.Contains(again, `"unchanged":3`) {
		t.Errorf("three readings aren't stored once:\n%s%s", first, again)
	}
	wantTemperatures(t, k, place, "2026-02-03T07:00:00Z 18.5", "2026-02-03T07:10:00Z -0.25", "2026-07-03T07:00:00Z 24")
}

func temperaturesInR(t *testing.T, k *kitchen) {
	needsR(t, "httr2", "jsonlite")
	const place = "cold frame"
	k.addPlace(t, place, "Europe/Berlin")
	k.write(t, "logger.csv", "\ufeff"+loggerFile)
	first := k.run(t, "", "Rscript", "temperatures.R", "logger.csv", place, "Europe/Berlin")
	again := k.run(t, "", "Rscript", "temperatures.R", "logger.csv", place, "Europe/Berlin")
	wantLine(t, first, "3 readings: 3 new")
	wantLine(t, again, "3 readings: 0 new, 3 stored before")
	wantTemperatures(t, k, place, "2026-02-03T07:00:00Z 18.5", "2026-02-03T07:10:00Z -0.25", "2026-07-03T06:00:00Z 24")
	if out, err := k.try(t, "", "Rscript", "temperatures.R", "logger.csv", "nowhere", "UTC"); err == nil || !strings.Contains(out, "nowhere") {
		t.Errorf("of a place that isn't there: %v\n%s", err, out)
	}
}

// loggerFile is a file as loggers write it, in the morning of a winter and of a summer day, with a reading that failed.
const loggerFile = "Time;Temperature\r\n03.02.2026 08:00;18,5\r\n03.02.2026 08:10;-0,25\r\n03.02.2026 08:20;\r\n03.07.2026 08:00;24\r\n"

// addPlace makes a place of the name.
func (k *kitchen) addPlace(t *testing.T, name, zone string) {
	t.Helper()
	body, _ := json.Marshal(map[string]string{"name": name, "time_zone": zone})
	r, err := http.Post(k.base+"/v1/places", "application/json", bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	_ = r.Body.Close()
	if r.StatusCode != http.StatusCreated {
		t.Fatalf("POST /v1/places: status %d", r.StatusCode)
	}
}

func wantTemperatures(t *testing.T, k *kitchen, place string, want ...string) {
	t.Helper()
	type named struct{ ID, Name string }
	places := answer[page[named]](t, k.base+"/v1/places").Items
	at := slices.IndexFunc(places, func(p named) bool { return p.Name == place })
	if at < 0 {
		t.Fatalf("no place %q among %v", place, places)
	}
	var got []string
	for _, r := range answer[page[struct {
		MeasuredAt time.Time `json:"measured_at"`
		AirC       float64   `json:"air_c"`
	}]](t, k.base+"/v1/temperatures?place_id="+places[at].ID).Items {
		got = append(got, fmt.Sprint(r.MeasuredAt.UTC().Format(time.RFC3339), " ", r.AirC))
	}
	slices.Sort(got)
	if !slices.Equal(got, want) {
		t.Errorf("stored at %s: %q, want %q", place, got, want)
	}
}
