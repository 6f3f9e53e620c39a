package forecast

import (
	"fmt"
	"sync"

	"vinetally/analytics/crop"
	"vinetally/analytics/ripening"
)

// weatherBook holds the weather of each place, worked out once.
type weatherBook struct {
	mu     sync.Mutex
	m      *ripening.Model
	days   int // as far as any forecast goes, so that it says the same however many days are asked for
	byRoom map[crop.ID]*ripening.Weather
	given  *ripening.Weather
	fewest int  // days of readings that the least sure of the places rests on
	most   int  // the same of the surest
	byHand int  // of the days that a place rests on, those with readings hours apart; the most of any place
	thin   bool // readings of a place are too few to tell one day from another
	none   bool // a place has none
	cold   bool // a place is too cold for fruit to ripen
}

func weathers(m *ripening.Model, o Options) *weatherBook {
	w := &weatherBook{m: m, days: MostDays, byRoom: map[crop.ID]*ripening.Weather{}}
	if o.AirC != nil {
		given := ripening.AtTemperature(*o.AirC, w.days)
		w.given, w.cold = &given, cold(&given)
	}
	return w
}

func (w *weatherBook) of(p *ripening.Plant) *ripening.Weather {
	if w.given != nil {
		return w.given
	}
	place := w.m.Clocks.PlaceAt(p.Records.Plant, w.m.AsOf)
	w.mu.Lock()
	defer w.mu.Unlock()
	if known := w.byRoom[place]; known != nil {
		return known
	}
	x := w.m.Clocks.NewWeather(p.Records.Plant, w.m.AsOf, w.days)
	if len(w.byRoom) == 0 || x.Days < w.fewest {
		w.fewest = x.Days
	}
	w.most = max(w.most, x.Days)
	w.byHand = max(w.byHand, x.ByHand)
	w.thin = w.thin || x.Thin
	w.cold = w.cold || cold(&x)
	w.none = w.none || x.Days == 0 && !x.Thin
	w.byRoom[place] = &x
	return &x
}

// cold tells that a day counts less than a fifth of one at 20 °C: by the clock of growing below about 9 °C.
func cold(w *ripening.Weather) bool {
	sum := 0.0
	for _, g := range w.Growing {
		sum += g
	}
	return sum < 0.2*float64(len(w.Growing))
}

// Cold is what is said where it is too cold.
const Cold = "So cold, below about 9 °C, fruit hardly ripens on the plant: what is unripe may stay so. If it is warmer there, mend the readings or say how warm it will be."

// words say how warm the days ahead are taken to be, where the user didn't say.
func (w *weatherBook) words() []string {
	clocks := w.m.Clocks
	switch {
	case !clocks.Thermal() && clocks.Unused > 0:
		return []string{"What is recorded of the temperature can't be used, so every day counts as one at 20 °C: it takes readings of a place every day, in °C, that can be of the air around a plant. Mend them, or say how warm it will be."}
	case !clocks.Thermal():
		return []string{"No temperatures are recorded, so every day counts as one at 20 °C. If it is warmer, fruit ripens sooner: record the temperature, or say how warm it will be."}
	}
	var words []string
	for _, r := range clocks.Frost {
		if at, name := clocks.Named(r.PlaceID); w.byRoom[r.PlaceID] != nil {
			words = append(words, fmt.Sprintf("%s: %g °C was read on %s, which tomato plants don't live through. If that is wrong, mend the readings: by them hardly any fruit ripened, and counts that are right disagree with the forecast.", name, *r.AirC, crop.DayWords(r.MeasuredAt.In(at))))
		}
	}
	if w.fewest > 0 {
		words = append(words, fmt.Sprintf("How warm the days ahead will be is drawn from the last %d days with readings at the plants' place: how warm they were of late, how that drifted, and how much it varied.", w.fewest))
	}
	if w.none {
		words = append(words, "At the place of one plant at least no temperatures are recorded, or too few; there the days ahead count as days at 20 °C. Record the temperature there every day, or say how warm it will be.")
	}
	if w.thin {
		words = append(words, "Fewer than 5 recent days of a place have readings in the morning and in the afternoon; there the days ahead are taken to be as warm as its readings say of the last fortnight, or as days at 20 °C if they ended 30 days before, which may be out by a fifth or more. "+
			"Read a thermometer twice a day (the lowest and the highest temperature will do), use a logger, or say how warm it will be.")
	}
	if w.byHand > 0 {
		words = append(words, fmt.Sprintf("Of %s of a place the temperature is known by a few readings a day, and between them it is taken to change evenly: the intervals are wider for it.", dayCount(w.byHand)))
	}
	return words
}

func dayCount(n int) string {
	if n == 1 {
		return "one day"
	}
	return fmt.Sprintf("%d days", n)
}

// hot says how little is known of fruit in the heat: the published times end at 26 °C, and red colour hardly forms in fruit above 30 °C.
func hot(airC float64) []string {
	switch {
	case airC > 30:
		return []string{"So hot, above 30 °C, fruit hardly turns red and may be ripe while it is orange, and no published times go beyond 26 °C: it is taken to ripen as fast as there, which is a guess."}
	case airC > 26:
		return []string{"No published times go beyond 26 °C: fruit is taken to ripen as fast as there."}
	}
	return nil
}
