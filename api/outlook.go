package api

import (
	"context"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/ledger"
	"vinetally/analytics/ripening"
	"vinetally/api/memo"
)

// outlook is a season with the ripening model fitted to it, both up to a moment.
type outlook struct {
	trial *crop.Trial
	model *ripening.Model
	asOf  time.Time
}

// outlookKey is all that a fit depends on. Change counts every write to the site's records, so what was worked out before a write is
// never found after it.
type outlookKey struct {
	change int64
	season crop.ID
	at     int64 // as_of; without one the current minute
	given  bool
}

// forecastKey is all that a forecast depends on.
type forecastKey struct {
	outlook outlookKey
	options forecastOptions
}

// outlooks keeps fits and forecasts.
type outlooks struct {
	fits      *memo.Cache[outlookKey, *outlook]
	forecasts *memo.Cache[forecastKey, *forecast.Forecast]
}

// The most that is kept: fits by the records they hold, one or two seasons of the size that DEVELOPERS.md measures; forecasts by the
// chances that they hold: a season's of plants with dozens of fruit some tens of thousands, more where counts contradict each other.
const (
	mostFitted   = 150_000    // records
	mostForecast = 10_000_000 // chances of a number of fruit, 8 bytes each
)

func newOutlooks() *outlooks {
	return &outlooks{
		memo.New[outlookKey](mostFitted, func(o *outlook) int64 {
			t := o.trial
			return int64(1 + len(t.Plants) + len(t.Visits) + len(t.Pickings) + len(t.Losses) + len(t.Diary) + len(t.Temperatures))
		}),
		memo.New[forecastKey](mostForecast, func(f *forecast.Forecast) int64 {
			return int64(f.Chances())
		}),
	}
}

// keyAt is the key of a season at a moment, nil being now.
func (s *server) keyAt(change int64, season crop.ID, asOf *time.Time) outlookKey {
	if asOf == nil {
		return s.keyNow(change, season, time.Minute)
	}
	return outlookKey{change, season, asOf.UnixMilli(), true}
}

// keyNow is the key of a season now: the beginning of the current minute, hour or the like, or the last record if that is later, so that it
// uses what an as_of of this instant would and can be asked for again.
func (s *server) keyNow(change int64, season crop.ID, step time.Duration) outlookKey {
	return outlookKey{change, season, s.now().Truncate(step).UnixMilli(), false}
}

func (s *server) outlook(ctx context.Context, key outlookKey) (*outlook, error) {
	return s.outlooks.fits.Get(ctx, key, func(ctx context.Context) (*outlook, error) {
		whole, err := s.store.LoadSeason(ctx, key.season, true)
		if err != nil {
			return nil, err
		}
		asOf := time.UnixMilli(key.at).UTC()
		trial := whole.AsOf(asOf)
		if !key.given {
			if last := whole.AsOf(s.now()).LastStamped(); last.After(asOf) {
				asOf = last.UTC()
				trial = whole.AsOf(asOf)
			}
		}
		earlier, err := EarlierSeasons(ctx, s.store, trial, asOf)
		if err != nil {
			return nil, err
		}
		records := trial.ByPlant()
		return &outlook{trial, ripening.Of(trial, records, ledger.OfAll(records), asOf, earlier), asOf}, nil
	})
}

// forecast makes the forecast of a season by its model.
func (s *server) forecast(ctx context.Context, key outlookKey, o forecastOptions) (*outlook, *forecast.Forecast, error) {
	fitted, err := s.outlook(ctx, key)
	if err != nil {
		return nil, nil, err
	}
	f, err := s.outlooks.forecasts.Get(ctx, forecastKey{key, o}, func(context.Context) (*forecast.Forecast, error) {
		return forecast.Of(fitted.model, o.of(fitted.trial)), nil
	})
	return fitted, f, err
}
