package api

import (
	"bytes"
	"fmt"
	"math"
	"net/http"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"
	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
)

// calendarParameters are what the picking days in a calendar take.
var calendarParameters = []string{"season", "air_c", "hold_days", "weekdays", "tolerated"}

// pageStep is how long a page or calendar without as_of speaks of the same moment, unless something was recorded.
const pageStep = time.Hour

// calendar is the picking days of a season as an iCalendar stream (RFC 5545).
func (s *server) calendar(c *gin.Context) error {
	q := parseQuery(c, calendarParameters...)
	o := q.forecast()
	if err := q.err(); err != nil {
		return err
	}
	catalogue, err := s.store.Catalogue(c.Request.Context())
	if err != nil {
		return err
	}
	season, err := s.asked(q, catalogue, s.now())
	if err != nil {
		return err
	}
	feed := newFeed()
	if season == nil {
		feed.remark(crop.ID{}, s.now(), "No picking days", "No season is under way, so there are no picking days.")
		return feed.write(c)
	}
	fitted, f, err := s.forecast(c.Request.Context(), s.keyNow(catalogue.Change, season.ID, pageStep), o)
	if err != nil {
		return err
	}
	feed.SetName("Picking: " + season.Name)
	for i := range f.Plan.Picks {
		feed.pick(season, &f.Plan.Picks[i], f, fitted.trial.Zone())
	}
	if len(f.Plan.Picks) == 0 {
		at, summary, why := f.AsOf.In(fitted.trial.Zone()), "Nothing to pick", f.Plan.None()
		if len(f.Plants) == 0 {
			summary, why = "No picking days", f.Warnings[0]
		}
		feed.remark(season.ID, at, summary, why)
	}
	return feed.write(c)
}

type feed struct{ *ics.Calendar }

func newFeed() feed {
	f := feed{ics.NewCalendar()}
	f.SetProductId("-//vinetally//picking days//EN")
	f.SetXPublishedTTL("PT6H")
	f.SetRefreshInterval("PT6H")
	return f
}

// uid is the same for a day of a season however often it is planned, so that a calendar replaces what it had.
func uid(kind string, season crop.ID, day crop.Date) string {
	return fmt.Sprintf("%s-%s-%s@vinetally", kind, day, season)
}

func (f feed) pick(season *crop.Season, p *forecast.Pick, of *forecast.Forecast, zone *time.Location) {
	e := f.AddEvent(uid("pick", season.ID, p.On))
	e.SetDtStampTime(of.AsOf)
	e.SetAllDayStartAt(p.On.Noon(time.UTC))
	e.SetAllDayEndAt(p.On.AddDays(1).Noon(time.UTC))
	e.SetTimeTransparency(ics.TransparencyTransparent)
	summary := "Pick about " + fruitWords(p.Fruits.Mean)
	if len(p.Plants) > 0 {
		summary += ": " + some(p.Plants)
	}
	e.SetSummary(summary)
	words := []string{"Expected: " + fruitBetween(p.Fruits) + "."}
	if p.Grams != nil {
		words = append(words, fmt.Sprintf("About %.0f g (%d %% interval %.0f to %.0f).", p.Grams.Mean, levelPercent, p.Grams.Low, p.Grams.High))
	}
	if len(p.Plants) > 0 {
		words = append(words, "Plants: "+strings.Join(p.Plants, ", ")+".")
	}
	if c := p.LaterCost; c.Mean >= 0.5 {
		words = append(words, fmt.Sprintf("A day later about %.0f more would have hung too long (%.0f to %.0f).", c.Mean, c.Low, c.High))
	}
	words = append(words, of.Plan.Warnings...)
	words = append(words, forecast.Simulated, "As of "+crop.ClockWords(of.AsOf.In(zone))+".")
	e.SetDescription(strings.Join(words, "\n"))
}

// remark says why there are no picking days. A stream must hold something (RFC 5545, section 3.6), and a journal entry takes no time of
// the day that it stands on.
func (f feed) remark(season crop.ID, at time.Time, summary, why string) {
	day := crop.DateOf(at)
	j := f.AddJournal(uid("remark", season, day))
	j.SetDtStampTime(at)
	j.SetAllDayStartAt(day.Noon(time.UTC))
	j.SetSummary(summary)
	j.SetDescription(why)
}

func (f feed) write(c *gin.Context) error {
	var b bytes.Buffer
	if err := f.SerializeTo(&b, ics.WithNewLineWindows); err != nil {
		return err
	}
	write(c.Writer, http.StatusOK, "text/calendar; charset=utf-8", b.Bytes())
	return nil
}

// fruitWords is a number of fruit as it is said.
func fruitWords(n float64) string {
	if n < 0.5 {
		return "no fruit"
	}
	return fmt.Sprintf("%.0f fruit", math.Round(n))
}

// mostNamed is how many plants a short sentence names.
const mostNamed = 6

// some names the first few of some plants.
func some(names []string) string { return firstOf(names, mostNamed) }

// firstOf names so many, and says how many more there are.
func firstOf(names []string, most int) string {
	if more := len(names) - most; more > 0 {
		return strings.Join(names[:most], ", ") + fmt.Sprintf(" and %d more", more)
	}
	return strings.Join(names, ", ")
}
