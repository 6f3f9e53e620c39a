package api

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
	"vinetally/analytics/germination"
)

func (s *server) seasonGermination(c *gin.Context) error {
	trial, asOf, err := s.seasonAsOf(c, parseQuery(c, "as_of"), true)
	if err != nil {
		return err
	}
	answer := germinationAnswer{AsOf: asOf, Level: germination.Level, Lots: []lotAnswer{}, Warnings: germination.Notes()}
	for _, l := range germination.Lots(trial) {
		answer.Lots = append(answer.Lots, newLotAnswer(&l))
	}
	if len(answer.Lots) == 0 {
		answer.Warnings = []string{"No germination count is on record for this season."}
	}
	return respond(c, http.StatusOK, answer)
}

type germinationAnswer struct {
	AsOf     time.Time   `json:"as_of"`
	Level    float64     `json:"level"`
	Lots     []lotAnswer `json:"lots"`
	Warnings []string    `json:"warnings"`
}

type lotAnswer struct {
	CultivarID        crop.ID             `json:"cultivar_id"`
	Cultivar          string              `json:"cultivar"`
	Lot               string              `json:"lot"`
	SownOn            crop.Date           `json:"sown_on"`
	CountedOn         crop.Date           `json:"counted_on"`
	Seeds             int                 `json:"seeds"`
	Emerged           int                 `json:"emerged"`
	EmergedLate       *int                `json:"emerged_late"`
	Plants            int                 `json:"plants"`
	Transplanted      int                 `json:"transplanted"`
	NotRaised         *int                `json:"not_raised"`
	Share             *shareAnswer        `json:"share"`
	MeanDays          *float64            `json:"mean_days"`
	MeanDaysBetween   *spanAnswer         `json:"mean_days_between"`
	SpreadDays        *float64            `json:"spread_days"`
	T50Days           *float64            `json:"t50_days"`
	HalfBetween       *spanAnswer         `json:"half_between"`
	Synchrony         *float64            `json:"synchrony"`
	SeedlingsForSeeds []spotAnswer        `json:"seedlings_for_seeds"`
	AirC              *float64            `json:"air_c"`
	Published         *publishedEmergence `json:"published"`
	Warnings          []string            `json:"warnings"`
}

type shareAnswer struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

type spanAnswer struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

type spotAnswer struct {
	Seeds      int     `json:"seeds"`
	Mean       float64 `json:"mean"`
	Low        float64 `json:"low"`
	High       float64 `json:"high"`
	NoneChance float64 `json:"none_chance"`
	NoneHigh   float64 `json:"none_chance_high"`
}

type publishedEmergence struct {
	Days          float64 `json:"days"`
	NormalPercent float64 `json:"normal_percent"`
}

func newLotAnswer(l *germination.Lot) lotAnswer {
	a := lotAnswer{
		CultivarID: l.CultivarID, Cultivar: l.Cultivar, Lot: l.Lot, SownOn: l.SownOn, CountedOn: l.CountedOn, Seeds: l.Seeds, Emerged: l.Emerged,
		EmergedLate: l.Late, Plants: l.Plants, Transplanted: l.Transplanted, NotRaised: l.NotRaised,
		MeanDays: l.Indices.MeanTime, T50Days: l.Indices.T50, Synchrony: l.Indices.Synchrony,
		MeanDaysBetween: newSpan(l.MeanBetween), HalfBetween: newSpan(l.HalfBetween), SpreadDays: l.Spread(),
		AirC: l.AirC, SeedlingsForSeeds: []spotAnswer{}, Warnings: append([]string{}, l.Warnings...),
	}
	for _, s := range l.Spots {
		a.SeedlingsForSeeds = append(a.SeedlingsForSeeds, spotAnswer{s.Seeds, s.Expected, s.Interval.Low, s.Interval.High, s.Empty, s.EmptyHigh})
	}
	if l.Known {
		a.Share = &shareAnswer{l.Share, l.Interval.Low, l.Interval.High}
	}
	if l.Published != nil {
		a.Published = &publishedEmergence{l.Published.Days, l.Published.NormalPercent}
	}
	return a
}

func newSpan(s *germination.Span) *spanAnswer {
	if s == nil {
		return nil
	}
	return &spanAnswer{s.Low, s.High}
}
