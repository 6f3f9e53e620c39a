package api

import (
	"net/http"
	"slices"
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

func (s *server) plantLedger(c *gin.Context) error {
	id, err := plainPathID(c)
	if err != nil {
		return err
	}
	asOf, err := s.asOf(parseQuery(c, "as_of"))
	if err != nil {
		return err
	}
	trial, err := s.store.LoadPlant(c.Request.Context(), id, false)
	if err != nil {
		return err
	}
	all := trial.AsOf(asOf).ByPlant()
	at := slices.IndexFunc(all, func(r crop.PlantRecords) bool { return r.Plant.ID == id })
	if at < 0 {
		plant, _ := trial.Plant(id) // LoadPlant has it
		return crop.NotYet(plant, asOf)
	}
	return respond(c, http.StatusOK, newLedgerAnswer(asOf, ledger.Of(all[at])))
}

type ledgerAnswer struct {
	AsOf           time.Time             `json:"as_of"`
	PlantID        crop.ID               `json:"plant_id"`
	Plant          string                `json:"plant"`
	Scale          []string              `json:"scale"`
	Visits         []ledgerVisit         `json:"visits"`
	SinceLastCount ledgerTaken           `json:"since_last_count"`
	Totals         ledgerTotals          `json:"totals"`
	Contradictions []ledgerContradiction `json:"contradictions"`
	Warnings       []string              `json:"warnings"`
}

// ledgerVisit is one entry. The lower bounds stand beside what is known, since a null alone would hide them.
type ledgerVisit struct {
	VisitID            crop.ID       `json:"visit_id"`
	VisitIDs           []crop.ID     `json:"visit_ids"` // all rows that were counted at this time
	CountedAt          crop.Moment   `json:"counted_at"`
	TimeKnown          bool          `json:"time_known"`
	Coverage           []string      `json:"coverage"`
	Standing           byStage[*int] `json:"standing"`
	StandingAtLeast    byStage[int]  `json:"standing_at_least"`
	StandingAtMost     byStage[*int] `json:"standing_at_most"`
	EverReached        byStage[*int] `json:"ever_reached"`
	EverReachedAtLeast byStage[int]  `json:"ever_reached_at_least"`
	EverReachedAtMost  byStage[*int] `json:"ever_reached_at_most"`
	Picked             byStage[int]  `json:"picked"`
	Lost               byStage[int]  `json:"lost"`
	Unaccounted        byStage[int]  `json:"unaccounted"`
	AtOrBeyond         byStage[*int] `json:"at_or_beyond"`
	AtOrBeyondAtLeast  byStage[int]  `json:"at_or_beyond_at_least"`
	AtOrBeyondAtMost   byStage[*int] `json:"at_or_beyond_at_most"`
	Doubted            []string      `json:"doubted"` // the stages at or beyond which it is
	// StandingEstimate has the stages that a count of some trusses can be expanded for.
	StandingEstimate []estimateAnswer `json:"standing_estimate"`
}

type estimateAnswer struct {
	Stage          string   `json:"stage"`
	Value          float64  `json:"value"`
	Low            *float64 `json:"low"`
	High           *float64 `json:"high"`
	Level          float64  `json:"level"`
	Seen           int      `json:"seen"`
	TrussesCounted int      `json:"trusses_counted"`
	TrussesTotal   int      `json:"trusses_total"`
}

func newEstimates(scale []string, all []*ledger.Estimate) []estimateAnswer {
	out := []estimateAnswer{}
	for s, e := range all {
		if e != nil {
			out = append(out, estimateAnswer{scale[s], e.Value, e.Low, e.High, ledger.EstimateLevel, e.Seen, e.Counted, e.Of})
		}
	}
	return out
}

type ledgerTaken struct {
	Picked byStage[int] `json:"picked"`
	Lost   byStage[int] `json:"lost"`
}

type ledgerTotals struct {
	SetAtLeast       int            `json:"set_at_least"`
	TakenInDoubt     int            `json:"taken_in_doubt"`
	Standing         *int           `json:"standing"`
	StandingAtLeast  int            `json:"standing_at_least"`
	StandingAtMost   *int           `json:"standing_at_most"`
	Picked           int            `json:"picked"`
	PickedAtMost     *int           `json:"picked_at_most"`
	PickedMarketable int            `json:"picked_marketable"`
	PickedCull       int            `json:"picked_cull"`
	Lost             int            `json:"lost"`
	LostAtMost       *int           `json:"lost_at_most"`
	LostByCause      map[string]int `json:"lost_by_cause"`
	Unaccounted      int            `json:"unaccounted"`
	WeighedOnly      int            `json:"pickings_weighed_only"`
	UnitFruit        int            `json:"unit_fruit"`
	LeftAtRemoval    *int           `json:"left_at_removal"`
	// Balance has the stages whose account is known.
	Balance []ledgerBalance `json:"balance"`
}

type ledgerBalance struct {
	Stage         string `json:"stage"`
	EverReached   int    `json:"ever_reached"`
	Standing      int    `json:"standing"`
	Picked        int    `json:"picked"`
	Lost          int    `json:"lost"`
	Unaccounted   int    `json:"unaccounted"`
	LeftAtRemoval int    `json:"left_at_removal"`
}

type ledgerContradiction struct {
	Code            string      `json:"code"`
	VisitID         *crop.ID    `json:"visit_id"`
	At              crop.Moment `json:"at"`
	Stage           string      `json:"stage"`
	Fruits          int         `json:"fruits"`
	Allowance       int         `json:"allowance"`
	WithinAllowance bool        `json:"within_allowance"`
	Detail          string      `json:"detail"`
}

func newLedgerAnswer(asOf time.Time, b ledger.Book) ledgerAnswer {
	known := func(n []*int) byStage[*int] { return byStage[*int]{b.Scale, n} }
	sure := func(n []int) byStage[int] { return byStage[int]{b.Scale, n} }
	answer := ledgerAnswer{
		AsOf: asOf, PlantID: b.PlantID, Plant: b.Plant, Scale: b.Scale, Warnings: b.Warnings,
		SinceLastCount: ledgerTaken{sure(b.SinceLastCount.Picked), sure(b.SinceLastCount.Lost)}, Totals: newLedgerTotals(b.Scale, b.Totals),
	}
	for _, e := range b.Visits {
		answer.Visits = append(answer.Visits, ledgerVisit{
			VisitID: e.VisitID, VisitIDs: e.Rows, CountedAt: e.CountedAt, TimeKnown: e.CountedAt.TimeKnown(), Coverage: e.Coverage,
			Standing: known(e.Standing), StandingAtLeast: sure(e.StandingAtLeast), StandingAtMost: known(e.StandingAtMost),
			EverReached: known(e.EverReached), EverReachedAtLeast: sure(e.EverReachedAtLeast), EverReachedAtMost: known(e.EverReachedAtMost),
			Picked: sure(e.Picked), Lost: sure(e.Lost), Unaccounted: sure(e.Unaccounted),
			AtOrBeyond: known(e.AtOrBeyond), AtOrBeyondAtLeast: sure(e.AtOrBeyondAtLeast), AtOrBeyondAtMost: known(e.AtOrBeyondAtMost),
			Doubted:          stagesWhere(b.Scale, e.DoubtedAt),
			StandingEstimate: newEstimates(b.Scale, e.Estimate),
		})
	}
	for _, x := range b.Contradictions {
		answer.Contradictions = append(answer.Contradictions, ledgerContradiction{
			Code: x.Code, VisitID: someID(x.VisitID), At: x.At, Stage: x.Stage, Fruits: x.Fruits,
			Allowance: x.Allowance, WithinAllowance: x.WithinAllowance, Detail: x.Detail,
		})
	}
	return answer
}

// stagesWhere names the stages of which something is so.
func stagesWhere(scale []string, is func(stage int) bool) []string {
	var names []string
	for s, name := range scale {
		if is(s) {
			names = append(names, name)
		}
	}
	return names
}

func newLedgerTotals(scale []string, t ledger.Totals) ledgerTotals {
	byCause := map[string]int{}
	for _, c := range t.LostByCause {
		byCause[string(c.Cause)] = c.Fruits
	}
	var balance []ledgerBalance
	for i, x := range t.Balance {
		if x != nil {
			balance = append(balance, ledgerBalance{Stage: scale[i], EverReached: x.EverReached, Standing: x.Standing, Picked: x.Picked,
				Lost: x.Lost, Unaccounted: x.Unaccounted, LeftAtRemoval: x.LeftAtRemoval})
		}
	}
	return ledgerTotals{
		SetAtLeast: t.SetAtLeast, TakenInDoubt: t.TakenInDoubt, Standing: t.Standing, StandingAtLeast: t.StandingAtLeast, StandingAtMost: t.StandingAtMost,
		PickedAtMost: t.PickedAtMost, LostAtMost: t.LostAtMost, Picked: t.Picked, PickedMarketable: t.PickedMarketable, PickedCull: t.PickedCull,
		Lost: t.Lost, LostByCause: byCause, Unaccounted: t.Unaccounted,
		WeighedOnly: t.WeighedOnly, UnitFruit: t.UnitFruit, LeftAtRemoval: t.LeftAtRemoval, Balance: balance,
	}
}

// someID is nil for the zero id.
func someID(id crop.ID) *crop.ID {
	if id.IsZero() {
		return nil
	}
	return &id
}
