package curve_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/curve"
)

func find(t *testing.T, r curve.Result, scope curve.Scope, stage string) *curve.Curve {
	t.Helper()
	for i := range r.Curves {
		if r.Curves[i].Scope == scope && r.Curves[i].Stage == stage {
			return &r.Curves[i]
		}
	}
	t.Fatalf("no %s curve of %s; refused: %+v", scope, stage, r.Refused)
	return nil
}

func wantWarnings(t *testing.T, c *curve.Curve, want ...string) {
	t.Helper()
	if !slices.Equal(c.Warnings, want) {
		t.Errorf("warnings:\n got %q\nwant %q", c.Warnings, want)
	}
}

// rise is a flush of 30 fruit that no warning applies to.
var rise = []int{0, 1, 2, 5, 11, 19, 25, 28, 29, 30, 30, 30}

func TestPickedBeforeTheStage(t *testing.T) {
	early := reds(3, rise...) + "pick 2026-03-20 turning 4\npick 2026-04-10 red 20\n"
	c := find(t, bed(t, early), curve.ScopePlant, "red")
	wantWarnings(t, c, "4 of 24 picked fruit (17 %) were taken before red and never reached it, so the curve shows the picking as much as the ripening.")

	few := reds(3, rise...) + "pick 2026-03-20 turning 2\npick 2026-04-10 red 20\n"
	wantWarnings(t, find(t, bed(t, few), curve.ScopePlant, "red"))
}

// Fruit picked red never goes soft: the curve of a stage after the ripe one is the habit of picking almost alone.
func TestPickedRipeBeforeSoft(t *testing.T) {
	script := "scale green red soft ripe=red\n" + strings.ReplaceAll(reds(3, rise...), "red=", "soft=") + "pick 2026-04-10 red 30\n"
	wantWarnings(t, find(t, bed(t, script), curve.ScopePlant, "soft"),
		"30 of 30 picked fruit (100 %) were taken before soft and never reached it, so the curve shows the picking as much as the ripening.")
}

func TestFallIsWarnedOf(t *testing.T) {
	c := find(t, bed(t, reds(3, 0, 1, 2, 5, 11, 19, 25, 28, 18, 30, 30, 30)), curve.ScopePlant, "red")
	wantWarnings(t, c, "One count is left out of the curve: it contradicts the others by more than a miscount explains, and fruit never goes back a stage. Look at the records.")
	wantWarnings(t, find(t, bed(t, reds(3, 0, 1, 2, 5, 11, 19, 25, 28, 26, 30, 29, 30)), curve.ScopePlant, "red")) // two of 28 may be overlooked
}

func TestSharesOutsideTheCounts(t *testing.T) {
	t.Run("counted too late", func(t *testing.T) {
		c := find(t, bed(t, reds(3, 16, 21, 25, 27, 28, 29, 29, 29)), curve.ScopePlant, "red")
		if c.T10 != nil || c.T50 != nil || c.T90 == nil {
			t.Errorf("got t10 %+v, t50 %+v, t90 %+v; over half had come before the first count", c.T10, c.T50, c.T90)
		}
		wantWarnings(t, c, "A tenth of the fruit had reached red before the first count, so t10 isn't given.",
			"Half of the fruit had reached red before the first count, so t50 isn't given.")
	})
	t.Run("slow, but not at the level", func(t *testing.T) {
		c := find(t, bed(t, reds(3, 0, 1, 2, 5, 11, 19, 25, 28, 30)), curve.ScopePlant, "red")
		if c.T50 == nil || c.T90 != nil {
			t.Errorf("got t50 %+v, t90 %+v; the level was not seen", c.T50, c.T90)
		}
		wantWarnings(t, c, "Fruit still reached red at a quarter of the fastest rate or more when the counts end; how many nine tenths are isn't sure, so t90 isn't given.")
	})
}

func TestFewPlantsSpeakForThemselves(t *testing.T) {
	plant := reds(3, rise...)
	c := find(t, bed(t, plant, plant, plant), curve.ScopeCultivar, "red")
	wantWarnings(t, c, "With 3 plants the curve speaks of these plants, not of the cultivar: the intervals don't hold the differences between plants.")
	// A fourth plant that was never counted for red tells nothing of it.
	c = find(t, bed(t, plant, plant, plant, "count 2026-03-01 green=3"), curve.ScopeCultivar, "red")
	wantWarnings(t, c, "With 3 plants the curve speaks of these plants, not of the cultivar: the intervals don't hold the differences between plants.")
	if c.RestsOn.Plants != 3 {
		t.Errorf("rests on %d plants, want the 3 that were counted", c.RestsOn.Plants)
	}
	wantWarnings(t, find(t, bed(t, plant), curve.ScopeCultivar, "red"),
		"With one plant the curve speaks of these plants, not of the cultivar: the intervals don't hold the differences between plants.")
	wantWarnings(t, find(t, bed(t, plant, plant, plant, plant), curve.ScopeCultivar, "red"))
}

func TestTwoCountsInARoundAreOnePlant(t *testing.T) {
	plant := strings.ReplaceAll(reds(3, rise...), " red=", "T18:00:00Z red=")
	twice := plant + strings.ReplaceAll(plant, "T18:00:00Z", "T12:00:00Z")
	once, both := find(t, bed(t, plant), curve.ScopePlant, "red"), find(t, bed(t, twice), curve.ScopePlant, "red")
	if len(both.Observed) != len(once.Observed) || both.Observed[3].Plants != 1 {
		t.Errorf("%d rounds of %d plants, want %d of 1", len(both.Observed), both.Observed[3].Plants, len(once.Observed))
	}
	// The same fruit counted twice tells no more: the interval may not shrink as for two plants, by √2.
	if got, want := *both.T50.High-*both.T50.Low, *once.T50.High-*once.T50.Low; got < 0.9*want {
		t.Errorf("interval of %.2f days shrank to %.2f for counting the same fruit twice", want, got)
	}
}

func TestFirstDays(t *testing.T) {
	scripts := []string{reds(3, rise...), reds(3, rise...)}
	sown, planted := crop.Date{Year: 2026, Month: 1, Day: 1}, crop.Date{Year: 2026, Month: 1, Day: 20}
	t.Run("one bought as a seedling", func(t *testing.T) {
		plants, books := bedRecords(t, scripts...)
		plants[0].Plant.SownOn, plants[0].Plant.TransplantedOn = nil, &planted
		r := curve.Season(plants, books, here{"UTC"})
		own := find(t, r, curve.ScopePlant, "red")
		if own.OriginOf != "transplanting" || !own.Origin.Equal(planted.Start(time.UTC)) {
			t.Errorf("counts from %s, %s", own.OriginOf, own.Origin)
		}
		pooled := find(t, r, curve.ScopeCultivar, "red")
		if pooled.OriginOf != "sowing" || !pooled.Origin.Equal(sown.Start(time.UTC)) {
			t.Errorf("pooled counts from %s, %s", pooled.OriginOf, pooled.Origin)
		}
		if !slices.Contains(pooled.Warnings, "The plants' first days lie up to 19 days apart; the curve goes by the date, counted from the first.") {
			t.Errorf("warnings: %q", pooled.Warnings)
		}
	})
	t.Run("no date known", func(t *testing.T) {
		plants, books := bedRecords(t, scripts...)
		plants[0].Plant.SownOn = nil
		own := find(t, curve.Season(plants, books, here{"UTC"}), curve.ScopePlant, "red")
		if own.OriginOf != "the first count" || !own.Origin.Equal(time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)) || own.T50 == nil || math.Abs(own.T50.Days-13.7) > 0.5 {
			t.Errorf("counts from %s, %s, t50 %+v; want the day of the first count and t50 a fortnight later", own.OriginOf, own.Origin, own.T50)
		}
	})
	t.Run("never counted either", func(t *testing.T) {
		plants, books := bedRecords(t, "")
		plants[0].Plant.SownOn = nil
		if r := curve.Season(plants, books, here{"UTC"}); len(r.Curves) != 0 || len(r.Refused) != 4 {
			t.Errorf("got %d curves and %d refusals, want 4 refusals", len(r.Curves), len(r.Refused))
		}
	})
}

func TestPlantsWithoutCultivarAreLeftOut(t *testing.T) {
	plants, books := bedRecords(t, reds(3, rise...))
	plants[0].Cultivar = nil
	if r := curve.Season(plants, books, here{"UTC"}); len(r.Curves)+len(r.Refused) != 0 {
		t.Errorf("got %+v, want nothing", r)
	}
}

// Who is counted first on a round is chance; the plants' fruit are the same on every round, whoever's turn it was.
func TestTurnsWithinARoundDoNotMatter(t *testing.T) {
	at := func(hour string, plant string) string {
		return strings.ReplaceAll(plant, " red=", "T"+hour+":00:00Z red=")
	}
	turns := func(a, b string) string { // alternates line by line
		x, y := strings.SplitAfter(a, "\n"), strings.SplitAfter(b, "\n")
		for i := 1; i < len(x); i += 2 {
			x[i] = y[i]
		}
		return strings.Join(x, "")
	}
	plant := reds(3, rise...)
	same := find(t, bed(t, at("09", plant), at("10", plant)), curve.ScopeCultivar, "red")
	mixed := find(t, bed(t, turns(at("09", plant), at("10", plant)), turns(at("10", plant), at("09", plant))), curve.ScopeCultivar, "red")
	if got, want := *mixed.T50.High-*mixed.T50.Low, *same.T50.High-*same.T50.Low; math.Abs(got-want) > 0.02*want {
		t.Errorf("interval of %.3f days where plants take turns, want %.3f as in one order", got, want)
	}
}
