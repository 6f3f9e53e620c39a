package forecast_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// bytesRead reads numbers off fuzzed bytes; after the end there are zeros.
type bytesRead struct{ left []byte }

func (b *bytesRead) below(n int) int {
	if len(b.left) == 0 {
		return 0
	}
	x := int(b.left[0])
	b.left = b.left[1:]
	return x % n
}

// fuzzedTrial makes a small trial of any bytes: one or two plants, up to twelve records each, some readings.
func fuzzedTrial(t testing.TB, data []byte) (*crop.Trial, time.Time) {
	b := &bytesRead{data}
	scale := [][]string{{"green", "breaker", "turning", "red"}, {"unripe", "red"}, {"green", "turning", "red", "soft"}}[b.below(3)]
	ripe := min(3, len(scale)-1)
	if scale[ripe] == "soft" {
		ripe--
	}
	header := fmt.Sprintf("scale %s ripe=%s\n", strings.Join(scale, " "), scale[ripe])
	start := instant("2026-03-01T18:00:00Z")
	at, scripts := start, make([]string, 1+b.below(2))
	fruits := func() int { return []int{0, 1, 2, 3, 5, 8, 13, 40, 300, 100_000}[b.below(10)] }
	for i := range scripts {
		at = start
		var s strings.Builder
		s.WriteString(header)
		for range b.below(13) {
			at = at.Add([]time.Duration{0, time.Minute, 12 * time.Hour, 48 * time.Hour, 120 * time.Hour, 240 * time.Hour, 9000 * time.Hour}[b.below(7)])
			when := at.Format(time.RFC3339)
			if b.below(4) == 0 {
				when = when[:len(time.DateOnly)]
			}
			stage := scale[b.below(len(scale))]
			switch b.below(8) {
			case 0:
				fmt.Fprintf(&s, "pick %s %s %d\n", when, stage, fruits())
			case 1:
				fmt.Fprintf(&s, "pick %s %s ?\n", when, stage)
			case 2:
				fmt.Fprintf(&s, "loss %s %s %d dropped\n", when, stage, fruits())
			case 3:
				fmt.Fprintf(&s, "unit pick %s %s %d\n", when, stage, fruits())
			default:
				fmt.Fprintf(&s, "count %s", when)
				some := b.below(3) == 0
				for _, name := range scale {
					if !some || b.below(2) == 0 {
						fmt.Fprintf(&s, " %s=%d", name, fruits())
					}
				}
				s.WriteString([]string{"", "", "", " at_least", " about", " trusses=1/4", " total=20", " truss=2"}[b.below(8)] + "\n")
			}
		}
		scripts[i] = s.String()
	}
	trial := trialOf(t, scripts...)
	if base := float64(b.below(60) - 10); b.below(2) == 0 {
		swing := float64(b.below(20))
		warm(trial, here, "2026-02-01T00:00:00Z", 90, 3*time.Hour, func(h float64) float64 { return base + swing*float64(int(h)%24)/24 })
	}
	return trial, at.Add(time.Duration(b.below(30)) * 24 * time.Hour)
}

// FuzzForecast: of any small trial there is a forecast in numbers and words, whatever was recorded.
func FuzzForecast(f *testing.F) {
	f.Add([]byte(nil))
	f.Add([]byte{0, 0, 3, 3, 1, 0, 7, 1, 5, 2, 1, 1, 0, 4, 1, 0, 7, 1, 4, 2, 2, 2, 0})
	f.Add([]byte("many a grower counts the same plant every other day and writes down what is red"))
	f.Add([]byte(strings.Repeat("\x01\x01\x0c\x06\x01\x00\x07\x01\x09\x09\x00\x05", 6)))
	f.Add([]byte(strings.Repeat("\x02\x00\x0b\x05\x02\x03\x02\x04\x08\x03", 9)))
	f.Fuzz(func(t *testing.T, data []byte) {
		trial, asOf := fuzzedTrial(t, data)
		forecastOf(t, trial, asOf)
	})
}
