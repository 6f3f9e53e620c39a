package report

import (
	"math"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
)

// Held is how earlier forecasts would have held, each made by what is dated up to a day of counting and held against a later
// one, about a week on. The records are those of now: what was entered late or mended since is in them.
type Held struct {
	Weeks []HeldWeek // the latest first
	// Inside is how many of them hold what happened within the interval, Forecast and Ripened the fruit of all weeks.
	Inside   int
	Forecast float64
	Ripened  int
	// Why says why there are no weeks.
	Why string
}

// HeldWeek is one forecast beside what became of it, from the end of one day to the end of another.
type HeldWeek struct {
	From, To  crop.Date
	Plants    int
	Counts    int // that it rested on
	Mean      float64
	Low, High int // of the interval at forecast.Level
	// Ripened is how many fruit became ripe by the ledgers: the rise of ever_reached of the ripe stage, for plants not counted
	// on the day along a straight line between counts, to the nearest fruit in all. AtLeast and AtMost are what those leave open.
	Ripened         int
	AtLeast, AtMost float64
	Inside          bool // Ripened is within the interval

	doubted bool // the records can't all be right
}

const (
	mostHeldWeeks   = 6
	fewestHeldWeeks = 2
	// A week is as long as the days of counting allow, heldDays if they do.
	heldDays, shortestHeld, longestHeld = 7, 4, 10
)

// held looks back from the last day by which every plant that still stands had been counted.
func held(full *crop.Trial, records []crop.PlantRecords, earlier []*crop.Trial) Held {
	lines := newRipeLines(records)
	fitted, before := 0, 0
	for _, t := range earlier {
		before += len(t.Visits)
	}
	for i := range records {
		fitted += len(records[i].Visits)
	}
	fitted += before
	var h Held
	doubted := false
	for to := lines.closest(lines.end, 0, heldDays, 0); !to.IsZero() && len(h.Weeks) < mostHeldWeeks; {
		from := lines.closest(to, shortestHeld, longestHeld, heldDays)
		if from.IsZero() { // a gap in the counts
			to = lines.previous(to)
			continue
		}
		cut := full.AsOf(EndOf(full, from))
		if fitted += before + len(cut.Visits); fitted > mostFittedCounts {
			if len(h.Weeks) < fewestHeldWeeks {
				h.Why = "A season of so many counts takes too long to forecast over and over, so earlier forecasts aren't held against what happened here."
			}
			break
		}
		w, ok := heldWeek(cut, from, to, lines, earlier)
		if ok {
			h.Weeks = append(h.Weeks, w)
		}
		doubted = doubted || w.doubted
		to = from
	}
	if len(h.Weeks) < fewestHeldWeeks {
		switch {
		case h.Why != "":
		case doubted:
			h.Why = "Too few weeks are left to hold earlier forecasts against what happened: in the others more ripe fruit was written as picked or lost than can have stood, so that nobody knows how many ripened."
		default:
			h.Why = "There are too few counts yet to hold earlier forecasts against what happened: it takes counts of all plants around two weeks in which fruit ripened, and of the days before them."
		}
		h.Weeks = nil
	}
	for _, w := range h.Weeks {
		h.Forecast, h.Ripened = h.Forecast+w.Mean, h.Ripened+w.Ripened
		if w.Inside {
			h.Inside++
		}
	}
	return h
}

// heldWeek is false where no fruit could ripen and none did, where the records leave more open of how many did than the forecast, and where they disagree on it.
func heldWeek(cut *crop.Trial, from, to crop.Date, lines *ripeLines, earlier []*crop.Trial) (HeldWeek, bool) {
	w := HeldWeek{From: from, To: to, Counts: len(cut.Visits)}
	asOf := EndOf(cut, from).In(cut.Zone())
	days := to.DaysSince(from)
	ripened := 0.0
	f := forecast.Of(modelOf(cut, cut.ByPlant(), asOf, earlier), forecast.Options{Days: days})
	for i := range f.Plants {
		l := lines.of[f.Plants[i].ID]
		if w.doubted = len(l.day) > 0 && l.doubtful(from, to); w.doubted || len(l.day) == 0 || l.day[0].After(from) {
			return w, false // how many of its fruit ripened isn't known
		}
		before, begun, after := l.around(from)
		least, ended, most := l.around(to)
		ripened += ended - begun
		w.AtLeast, w.AtMost = w.AtLeast+max(0, least-after), w.AtMost+most-before
		w.Plants++
	}
	if w.Plants == 0 {
		return w, false
	}
	d := f.Season[days-1]
	w.Mean = d.Mean
	q := quantiles(d.Distribution)
	w.Low, w.High = q.Low, q.High
	w.Ripened = int(math.Round(ripened))
	w.Inside = w.Low <= w.Ripened && w.Ripened <= w.High
	return w, (w.High > 0 || w.Ripened > 0) && w.AtMost-w.AtLeast <= float64(w.High-w.Low)
}
