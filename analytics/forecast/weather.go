package forecast

import (
	"sync"

	"vinetally/analytics/crop"
	"vinetally/analytics/ripening"
)

// weatherBook holds the weather of each place, worked out once.
type weatherBook struct {
	mu     sync.Mutex
	m      *ripening.Model
	days   int // a fortnight at least, so that a day's forecast is the same however many days are asked for
	byRoom map[crop.ID]*ripening.Weather
	given  *ripening.Weather
	fewest int // days of readings that the least sure of the places rests on
}

func weathers(m *ripening.Model, o Options) *weatherBook {
	w := &weatherBook{m: m, days: max(o.Days, ripening.Fortnight), byRoom: map[crop.ID]*ripening.Weather{}}
	if o.AirC != nil {
		given := ripening.AtTemperature(*o.AirC, w.days)
		w.given = &given
	}
	return w
}

func (w *weatherBook) of(p *ripening.Plant) *ripening.Weather {
	if w.given != nil {
		return w.given
	}
	place := p.Records.Plant.PlaceOn(crop.DateOf(w.m.AsOf))
	w.mu.Lock()
	defer w.mu.Unlock()
	if known := w.byRoom[place]; known != nil {
		return known
	}
	x := w.m.Clocks.NewWeather(p.Records.Plant, w.m.AsOf, w.days)
	if len(w.byRoom) == 0 || x.Days < w.fewest {
		w.fewest = x.Days
	}
	w.byRoom[place] = &x
	return &x
}
