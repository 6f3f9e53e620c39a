package simulate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"vinetally/analytics/crop"
)

// keeper looks after the plants and writes the records.
type keeper struct {
	w     *World
	c     Conduct
	rng   *rand.Rand
	trial *crop.Trial
	next  uint64
	scale crop.Scale
}

// keep runs the season: fruit fall, are counted, picked and written down, or not.
func keep(w *World, air [][]float64, moveHour float64, rng *rand.Rand) {
	k := &keeper{w: w, c: w.Conduct, rng: rng, scale: crop.DefaultScale(), trial: &crop.Trial{Change: 1}}
	k.place(air, moveHour)
	hold := Holding{Scale: w.Conduct.Drop}
	for p := range w.Plants {
		for i := range w.Plants[p].Fruits {
			f := &w.Plants[p].Fruits[i]
			if gone := w.Plants[p].Falls(f, hold, rng); gone < f.Gone {
				f.Gone, f.Fate = gone, Dropped
			}
		}
	}
	rounds := k.rounds()
	for _, hour := range rounds {
		w.Rounds = append(w.Rounds, hour+w.aPlant()*float64(len(w.Plants)-1))
	}
	for p := range w.Plants {
		k.season(p, rounds)
	}
	k.trial.Arrange()
	w.Trial = k.trial
}

func (k *keeper) id() crop.ID {
	k.next++
	var id crop.ID
	id[6], id[8] = 0x80, 0x80
	for i := range 6 {
		id[15-i] = byte(k.next >> (8 * i))
	}
	return id
}

func (k *keeper) place(air [][]float64, moveHour float64) {
	t, w := k.trial, k.w
	first := crop.DateOf(w.Start)
	last := first.AddDays(w.Days)
	t.Season = crop.Season{ID: k.id(), Name: "simulated: " + k.c.Name, FirstDay: &first, LastDay: &last}
	t.Scales = []crop.Scale{k.scale}
	for i := range k.c.Cultivars {
		t.Cultivars = append(t.Cultivars, crop.Cultivar{ID: k.id(), Name: fmt.Sprintf("cultivar %d", i+1)})
	}
	for i := range air {
		t.Places = append(t.Places, crop.Place{ID: k.id(), Name: fmt.Sprintf("place %d", i+1), TimeZone: "UTC"})
		k.log(t.Places[i].ID, air[i])
	}
	for p := range w.Plants {
		plant := crop.Plant{
			ID: k.id(), SeasonID: t.Season.ID, PlaceID: t.Places[0].ID, CultivarID: t.Cultivars[w.Plants[p].Cultivar].ID,
			Label: fmt.Sprintf("P%02d", p+1), SownOn: &first,
		}
		if k.c.Moves && p == 0 {
			plant.Moves = []crop.Move{{PlaceID: t.Places[1].ID, On: crop.DateOf(w.At(moveHour))}}
		}
		w.Plants[p].ID = plant.ID
		t.Plants = append(t.Plants, plant)
	}
}

// log writes the hourly readings of a place, with what the logger missed.
func (k *keeper) log(place crop.ID, air []float64) {
	off := -1
	for h, c := range air {
		if k.c.Weather.Gappy && off < h && k.rng.Float64() < 1.0/(20*hoursADay) {
			off = h + 2 + k.rng.IntN(60)
		}
		if h < off {
			continue
		}
		c = math.Round(c*10) / 10
		k.trial.Temperatures = append(k.trial.Temperatures, crop.Temperature{ID: k.id(), PlaceID: place, MeasuredAt: k.w.At(float64(h)), AirC: &c})
	}
}

// rounds are the hours at which the plants are looked at, one after another, from before the first flower on.
func (k *keeper) rounds() []float64 {
	var hours []float64
	for day := 38.0; day < float64(k.w.Days); day += k.c.Every[0] + (k.c.Every[1]-k.c.Every[0])*k.rng.Float64() {
		at := math.Floor(day)
		weekday := k.w.Start.AddDate(0, 0, int(at)).Weekday()
		if k.c.Busy && weekday != time.Saturday && weekday != time.Sunday && k.rng.Float64() < 0.6 {
			continue
		}
		hour := at*hoursADay + 17 + 3*k.rng.Float64()
		if k.c.Away[0] < at && at < k.c.Away[1] {
			continue
		}
		hours = append(hours, hour)
	}
	return slices.Compact(hours)
}

// aPlant is how long looking at a plant takes, in hours: of many, many look.
func (w *World) aPlant() float64 { return min(0.03, 0.4/float64(len(w.Plants))) }

func (k *keeper) season(p int, rounds []float64) {
	dies := math.Inf(1)
	if k.c.Dies && p == len(k.w.Plants)-1 {
		dies = float64(105+k.rng.IntN(15)) * hoursADay
	}
	before := 0.0
	for _, hour := range rounds {
		hour += k.w.aPlant() * float64(p)
		if hour < dies && k.rng.Float64() < k.c.Missed {
			continue
		}
		if hour >= dies {
			k.die(p, hour)
			return
		}
		at := k.w.At(hour)
		hour = k.w.Hour(at)
		k.findFallen(p, before, hour)
		k.count(p, hour)
		k.prune(p, hour)
		k.pick(p, hour)
		before = hour
	}
}

func (k *keeper) moment(hour float64) crop.Moment {
	at := k.w.At(hour)
	if k.c.DatesOnly {
		return crop.DayMoment(crop.DateOf(at), time.UTC)
	}
	return crop.InstantMoment(at)
}

func (k *keeper) loss(p int, hour float64, stage int, cause crop.Cause, fruits int) {
	if fruits == 0 {
		return
	}
	k.trial.Losses = append(k.trial.Losses, crop.Loss{
		ID: k.id(), PlantID: &k.w.Plants[p].ID, LostAt: k.moment(hour), Stage: k.scale.Stages[stage].Name, Fruits: &fruits, Cause: cause,
	})
}

func (k *keeper) findFallen(p int, from, to float64) {
	found := 0
	for i := range k.w.Plants[p].Fruits {
		f := &k.w.Plants[p].Fruits[i]
		if f.Fate == Dropped && f.Gone > from && f.Gone <= to && k.rng.Float64() < k.c.Logged {
			f.Written = true
			found++
		}
	}
	k.loss(p, to, Red, crop.Dropped, found)
}

// called is the colour that a fruit is taken for.
func (k *keeper) called(stage int) int {
	if k.rng.Float64() >= k.c.Confused {
		return stage
	}
	switch stage {
	case Green:
		if k.rng.Float64() < 0.2 { // a green fruit is the easiest to tell
			return Breaker
		}
		return Green
	case Red:
		return Turning
	default:
		return stage - 1 + 2*k.rng.IntN(2)
	}
}

func (k *keeper) die(p int, hour float64) {
	var cleared [stages]int
	for i := range k.w.Plants[p].Fruits {
		f := &k.w.Plants[p].Fruits[i]
		if stage, ok := f.Stage(hour); ok {
			cleared[stage]++
			f.Gone, f.Fate, f.Written = hour, Died, true
		} else if f.Enters[Green] > hour {
			f.Gone, f.Fate = f.Enters[Green], Died
		}
	}
	day := crop.DateOf(k.w.At(hour))
	k.trial.Plants[p].RemovedOn = &day
	for s, n := range cleared {
		k.loss(p, hour, s, crop.Cleared, n)
	}
}

// prune cuts off a whole truss of green fruit now and then.
func (k *keeper) prune(p int, hour float64) {
	if k.rng.Float64() >= k.c.Pruned/3 {
		return
	}
	fruits := k.w.Plants[p].Fruits
	trusses := map[int]int{}
	last := -1
	for i := range fruits {
		if stage, ok := fruits[i].Stage(hour); ok && stage == Green {
			trusses[fruits[i].Truss]++
			last = fruits[i].Truss
		}
	}
	if len(trusses) < 2 {
		return
	}
	cut := 0
	for i := range fruits {
		f := &fruits[i]
		if stage, ok := f.Stage(hour); ok && stage == Green && f.Truss == last {
			f.Gone, f.Fate, f.Written = hour, Thinned, true
			cut++
		}
	}
	k.loss(p, hour, Green, crop.Thinned, cut)
}

func (k *keeper) pick(p int, hour float64) {
	var taken [stages]int
	for i := range k.w.Plants[p].Fruits {
		f := &k.w.Plants[p].Fruits[i]
		stage, ok := f.Stage(hour)
		if !ok {
			continue
		}
		share := 0.0
		switch stage {
		case Red:
			share = k.c.PickRipe
		case Turning:
			share = k.c.PickTurning
		}
		if k.rng.Float64() >= share {
			continue
		}
		f.Gone, f.Fate = hour, Picked
		if k.rng.Float64() >= k.c.Unwritten {
			f.Written = true
			taken[k.called(stage)]++
		}
	}
	for s, n := range taken {
		if n == 0 {
			continue
		}
		k.trial.Pickings = append(k.trial.Pickings, crop.Picking{
			ID: k.id(), PlantID: &k.w.Plants[p].ID, PickedAt: k.moment(hour), Stage: k.scale.Stages[s].Name, Fruits: &n, Grade: crop.Marketable,
		})
	}
}
