package curve

import (
	"time"

	"vinetally/analytics/crop"
)

// Scope says whose fruit a curve describes.
type Scope string

// The scopes.
const (
	ScopePlant    Scope = "plant"
	ScopeCultivar Scope = "cultivar" // the plants of one cultivar in the season, pooled: fruit a plant
)

// Method says how a curve is fitted.
type Method string

// The methods.
const (
	LeastSquares Method = "least_squares" // of the running totals
	EventTimes   Method = "event_times"   // likelihood of when fruit reached the stage, all fruit being known
)

// Level is the level of every interval of this package.
const Level = 0.90

// Subject is what was asked about: one stage of one plant, or of a cultivar's plants.
type Subject struct {
	Scope      Scope
	PlantID    crop.ID // zero for a cultivar
	Plant      string
	CultivarID crop.ID
	Cultivar   string
	Stage      string
}

// Curve is one fitted sigmoid.
type Curve struct {
	Subject
	// Origin is day 0: the start of the day of sowing, or of transplanting where the sowing isn't known, or of the first
	// count where neither is, of the earliest of the plants. OriginOf says which.
	Origin   time.Time
	OriginOf string
	// Family is logistic, a/(1+exp(−k(x−t0))), or gompertz, a·exp(−exp(−k(x−t0))); x and t0 in days of the result's clock
	// since Origin, k per day, a in fruit (of a cultivar: fruit a plant).
	Family     string
	Parameters []Parameter
	// T10, T50 and T90 are when the curve stands at a tenth, half and nine tenths of its own level a; nil, with a warning,
	// where that lies outside the days that were counted or, T90, where the counts end before the level is seen.
	T10, T50, T90 *Crossing
	// Shrunken is a plant's t50 drawn towards those of its cultivar; nil for a cultivar, and where fewer than four plants have a t50
	// with an interval.
	Shrunken   *Shrunken
	AICc       float64
	Candidates []Candidate
	Line       []LinePoint
	Observed   []Observed
	RestsOn    RestsOn
	Warnings   []string

	t50   crossingError
	clock timeline
}

// Parameter is one fitted parameter; SE is nil where no error can be stated.
type Parameter struct {
	Name  string
	Value float64
	SE    *float64
}

// Crossing is a moment with its interval at Level, in calendar days since Origin; Low and High are nil where no interval can be
// stated.
type Crossing struct {
	At        time.Time
	Days      float64
	Low, High *float64
	// Standard is the same by temperature; nil on the calendar clock.
	Standard *StandardDays
}

// Moment is when so many calendar days since the curve's origin are over; nil for nil.
func (x *Crossing) Moment(origin time.Time, days *float64) *time.Time {
	if days == nil {
		return nil
	}
	return new(origin.Add(time.Duration(*days * float64(day))).Round(time.Minute))
}

// StandardDays is a time by the thermal clock, with its interval at Level. ClockSE is the standard error of the clock itself, whose
// rates come from a published table: the same for every curve over the same time, and not in the interval.
type StandardDays struct {
	Days      float64
	Low, High *float64
	ClockSE   float64
}

// Candidate is a family that was tried, with its AICc and Akaike weight.
type Candidate struct {
	Family string
	AICc   float64
	Weight float64
}

// LinePoint is the fitted curve at a moment, Days in calendar days since Origin, with its pointwise interval at Level.
type LinePoint struct {
	At        time.Time
	Days      float64
	Value     float64
	Low, High *float64
}

// Observed is the mean of ever_reached in one round of counting: all counts within half a day.
type Observed struct {
	At     time.Time
	Days   float64
	Value  float64
	Plants int
}

// RestsOn says how much was recorded.
type RestsOn struct {
	Visits int // exact counts of the stage
	Fruits int // fruit that are known to have reached it
	Plants int
}

// Refusal says why there is no curve, in words for a grower.
type Refusal struct {
	Subject
	Code   crop.Code // insufficient_data or no_fit
	Reason string
}

// Result is every curve of a season, and every one that was refused, in a fixed order: cultivars by name, then plants by
// label, each by stage.
type Result struct {
	Clock   ClockKind
	Method  Method
	Curves  []Curve
	Refused []Refusal
}
