package api

import (
	"fmt"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
	"vinetally/analytics/curve"
	"vinetally/analytics/ledger"
)

func (s *server) seasonCurves(c *gin.Context) error {
	q := parseQuery(c, "as_of", "clock", "method")
	clock, method := q.clock(), q.curveMethod()
	trial, asOf, err := s.seasonAsOf(c, q, clock != curve.CalendarClock)
	if err != nil {
		return err
	}
	plants := trial.ByPlant()
	books := ledger.OfAll(plants)
	clocks, why := clocksFor(clock, trial, plants)
	fit := clocks.Season
	if method == curve.EventTimes {
		fit = clocks.EventTimes
	}
	return respond(c, http.StatusOK, newCurvesAnswer(asOf, fit(plants, books, trial), append(why, clocks.Describe()...)))
}

// curveMethod reads how curves shall be fitted; least squares if it isn't said.
func (q *query) curveMethod() curve.Method {
	s, ok := q.get("method")
	switch method := curve.Method(s); {
	case !ok:
		return curve.LeastSquares
	case method == curve.LeastSquares, method == curve.EventTimes:
		return method
	}
	q.fault("method", fmt.Sprintf("is %.60q; it must be least_squares or event_times", s))
	return ""
}

// clock reads what curves shall count by; empty if it isn't said.
func (q *query) clock() curve.ClockKind {
	s, ok := q.get("clock")
	switch kind := curve.ClockKind(s); {
	case !ok:
		return ""
	case kind == curve.CalendarClock, kind == curve.ThermalClock:
		return kind
	}
	q.fault("clock", fmt.Sprintf("is %.60q; it must be calendar or thermal", s))
	return ""
}

// clocksFor are the clocks asked for, with what has to be said of the choice.
func clocksFor(asked curve.ClockKind, trial *crop.Trial, plants []crop.PlantRecords) (curve.Clocks, []string) {
	if asked == curve.CalendarClock {
		return curve.Clocks{}, []string{"All days are calendar days, also those called standard_days, as asked for."}
	}
	clocks, why := curve.NewClocks(trial.Temperatures, trial), ""
	if asked == "" || clocks.Kind() == curve.CalendarClock {
		clocks, why = clocks.Preferred(plants)
	}
	if why == "" {
		return clocks, nil
	}
	return clocks, []string{"All days are calendar days, also those called standard_days: " + why + "."}
}

type curvesAnswer struct {
	AsOf     time.Time      `json:"as_of"`
	Clock    clockAnswer    `json:"clock"`
	Method   curve.Method   `json:"method"`
	Level    float64        `json:"level"`
	Curves   []curveAnswer  `json:"curves"`
	Refused  []curveRefusal `json:"refused"`
	Warnings []string       `json:"warnings"`
}

// clockAnswer says what a day is.
type clockAnswer struct {
	Kind       curve.ClockKind `json:"kind"`
	ReferenceC *float64        `json:"reference_c"`
}

func newClockAnswer(kind curve.ClockKind) clockAnswer {
	if kind == curve.ThermalClock {
		return clockAnswer{kind, new(float64(curve.ReferenceC))}
	}
	return clockAnswer{Kind: kind}
}

type curveSubject struct {
	Scope      curve.Scope `json:"scope"`
	PlantID    *crop.ID    `json:"plant_id"`
	Plant      *string     `json:"plant"`
	CultivarID crop.ID     `json:"cultivar_id"`
	Cultivar   string      `json:"cultivar"`
	Stage      string      `json:"stage"`
}

type curveAnswer struct {
	curveSubject
	DaysFrom       time.Time           `json:"days_from"`
	DaysFromEvent  string              `json:"days_from_event"`
	Family         string              `json:"family"`
	Parameters     map[string]float64  `json:"parameters"`
	StandardErrors map[string]*float64 `json:"standard_errors"`
	T10            *crossingAnswer     `json:"t10"`
	T50            *crossingAnswer     `json:"t50"`
	T90            *crossingAnswer     `json:"t90"`
	T50Shrunken    *shrunkenAnswer     `json:"t50_shrunken"`
	SharesOf       string              `json:"shares_of"`
	AICc           float64             `json:"aicc"`
	Candidates     []candidateAnswer   `json:"candidates"`
	Points         []curvePoint        `json:"points"`
	Observed       []observedPoint     `json:"observed"`
	RestsOn        curveBasis          `json:"rests_on"`
	Warnings       []string            `json:"warnings"`
}

type crossingAnswer struct {
	At           time.Time  `json:"at"`
	AtLow        *time.Time `json:"at_low"`
	AtHigh       *time.Time `json:"at_high"`
	Days         float64    `json:"days"`
	StandardDays float64    `json:"standard_days"`
	Low          *float64   `json:"low"`
	High         *float64   `json:"high"`
	ClockError   *float64   `json:"clock_standard_error"`
	Level        float64    `json:"level"`
}

// shrunkenAnswer is a plant's t50 drawn towards its cultivar's.
type shrunkenAnswer struct {
	At           time.Time `json:"at"`
	StandardDays float64   `json:"standard_days"`
	Low          float64   `json:"low"`
	High         float64   `json:"high"`
	OwnWeight    float64   `json:"own_weight"`
	Mean         float64   `json:"mean"`
	PlantsSD     float64   `json:"plants_sd"`
	Plants       int       `json:"plants"`
}

type candidateAnswer struct {
	Family string  `json:"family"`
	AICc   float64 `json:"aicc"`
	Weight float64 `json:"weight"`
}

type curvePoint struct {
	At    time.Time `json:"at"`
	Value float64   `json:"value"`
	Low   *float64  `json:"low"`
	High  *float64  `json:"high"`
}

type observedPoint struct {
	At     time.Time `json:"at"`
	Value  float64   `json:"value"`
	Plants int       `json:"plants"`
}

type curveBasis struct {
	Visits int `json:"visits"`
	Fruits int `json:"fruits"`
	Plants int `json:"plants"`
}

type curveRefusal struct {
	curveSubject
	Code   crop.Code `json:"code"`
	Reason string    `json:"reason"`
}

func newCurvesAnswer(asOf time.Time, r curve.Result, warnings []string) curvesAnswer {
	answer := curvesAnswer{AsOf: asOf, Clock: newClockAnswer(r.Clock), Method: r.Method, Level: curve.Level, Curves: []curveAnswer{}, Refused: []curveRefusal{}, Warnings: append([]string{}, warnings...)}
	for i := range r.Curves {
		answer.Curves = append(answer.Curves, newCurveAnswer(&r.Curves[i], sharesOf(r.Method)))
	}
	for _, x := range r.Refused {
		answer.Refused = append(answer.Refused, curveRefusal{newCurveSubject(x.Subject), x.Code, x.Reason})
	}
	return answer
}

func newCurveSubject(s curve.Subject) curveSubject {
	out := curveSubject{Scope: s.Scope, PlantID: someID(s.PlantID), CultivarID: s.CultivarID, Cultivar: s.Cultivar, Stage: s.Stage}
	if s.Scope == curve.ScopePlant {
		out.Plant = &s.Plant
	}
	return out
}

// sharesOf says what the shares of a method are of.
func sharesOf(m curve.Method) string {
	if m == curve.EventTimes {
		return "fruit_set"
	}
	return "fitted_level"
}

func newCurveAnswer(c *curve.Curve, sharesOf string) curveAnswer {
	out := curveAnswer{
		curveSubject: newCurveSubject(c.Subject), DaysFrom: c.Origin, DaysFromEvent: c.OriginOf, Family: c.Family,
		Parameters: map[string]float64{}, StandardErrors: map[string]*float64{}, SharesOf: sharesOf,
		T10: newCrossing(c.Origin, c.T10), T50: newCrossing(c.Origin, c.T50), T90: newCrossing(c.Origin, c.T90), AICc: c.AICc,
		RestsOn: curveBasis(c.RestsOn), Warnings: append([]string{}, c.Warnings...),
	}
	if s := c.Shrunken; s != nil {
		out.T50Shrunken = &shrunkenAnswer{s.At, s.Days, s.Low, s.High, s.OwnWeight, s.Mean, s.PlantsSD, s.Plants}
	}
	for _, p := range c.Parameters {
		out.Parameters[p.Name], out.StandardErrors[p.Name] = p.Value, p.SE
	}
	for _, k := range c.Candidates {
		out.Candidates = append(out.Candidates, candidateAnswer(k))
	}
	for _, l := range c.Line {
		out.Points = append(out.Points, curvePoint{l.At, to3(l.Value), some3(l.Low), some3(l.High)})
	}
	for _, o := range c.Observed {
		out.Observed = append(out.Observed, observedPoint{o.At, to3(o.Value), o.Plants})
	}
	return out
}

func newCrossing(origin time.Time, x *curve.Crossing) *crossingAnswer {
	if x == nil {
		return nil
	}
	out := &crossingAnswer{At: x.At, Days: x.Days, StandardDays: x.Days, Low: x.Low, High: x.High, Level: curve.Level}
	out.AtLow, out.AtHigh = x.Moment(origin, x.Low), x.Moment(origin, x.High)
	if s := x.Standard; s != nil {
		out.StandardDays, out.Low, out.High, out.ClockError = s.Days, s.Low, s.High, &s.ClockSE
	}
	return out
}
