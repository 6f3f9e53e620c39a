package report

import (
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
)

// seasonToCome is a report of which nothing is known but what is to come of two cultivars and of all.
func seasonToCome(red, orange, all forecast.ToCome) *Season {
	a, b := crop.ID{1}, crop.ID{2}
	return &Season{
		AsOf: time.Date(2026, 2, 8, 8, 15, 0, 0, time.UTC),
		Ahead: Ahead{Forecast: &forecast.Forecast{
			Plants:    []forecast.Plant{{ID: crop.ID{3}, CultivarID: a}, {ID: crop.ID{4}, CultivarID: a}, {ID: crop.ID{5}, CultivarID: b}},
			Cultivars: []forecast.Cultivar{{ID: a, Name: "red", ToCome: &red}, {ID: b, Name: "orange", ToCome: &orange}, {Name: "gone"}},
			Season:    []forecast.Day{{Days: 14, Mean: 7}},
			ToCome:    &all,
		}},
	}
}

// TestToComeWords: the number with its interval, the furthest day that can be told, the next wave, and what isn't in it.
func TestToComeWords(t *testing.T) {
	asOf := seasonToCome(forecast.ToCome{}, forecast.ToCome{}, forecast.ToCome{}).AsOf
	on := func(day int) time.Time { return asOf.AddDate(0, 0, day) }
	half, most := forecast.RipeBy{On: on(10), Low: on(7), High: on(13)}, forecast.RipeBy{On: on(29), Low: on(20), High: on(39)}
	last := forecast.RipeBy{On: on(33), Low: on(24), High: on(45)}
	for _, x := range []struct {
		all         forecast.ToCome
		long, short string
	}{
		{
			forecast.ToCome{Mean: 49.3, Low: 43, High: 56, Half: half, Most: most, Last: last, NextFlush: forecast.RipeBy{On: on(21), Low: on(12), High: on(30)}},
			"In all about 49 of the fruit that have set are still to ripen (90 % interval 43 to 56): half of them by 18 Feb, between 15 and 21 Feb; nine tenths by 9 Mar, between 28 Feb and 19 Mar; the last by 13 Mar, between 4 and 25 Mar." +
				" After a lull the next wave begins about 1 Mar, between 20 Feb and 10 Mar. Fruit that is yet to set isn't in this.",
			"About 49 more of what has set will ripen (43 to 56), the last by 13 Mar (4 to 25 Mar).",
		},
		{
			forecast.ToCome{Mean: 49.3, Low: 43, High: 56, Half: half, LastDay: &forecast.ByDay{On: crop.Date{Year: 2026, Month: 3, Day: 7}, Mean: 41.2, Low: 35, High: 47}},
			"In all about 49 of the fruit that have set are still to ripen (90 % interval 43 to 56): half of them by 18 Feb, between 15 and 21 Feb; nine tenths probably more than sixteen weeks ahead. By the season's last day, 7 Mar, about 41 of them are ripe (35 to 47)." +
				" Fruit that is yet to set isn't in this.",
			"About 41 of 49 to come will be ripe by the season's end, 7 Mar (35 to 47).",
		},
		{
			forecast.ToCome{Mean: 49.3, Low: 43, High: 56, Half: half, LastDay: &forecast.ByDay{On: crop.Date{Year: 2026, Month: 9, Day: 7}, Mean: 49.1, Low: 43, High: 56}},
			"In all about 49 of the fruit that have set are still to ripen (90 % interval 43 to 56): half of them by 18 Feb, between 15 and 21 Feb; nine tenths probably more than sixteen weeks ahead. Fruit that is yet to set isn't in this.",
			"About 49 more of what has set will ripen (43 to 56), half of them by 18 Feb (15 to 21 Feb).",
		},
		{
			forecast.ToCome{Mean: 49.3, Low: 43, High: 56},
			"In all about 49 of the fruit that have set are still to ripen (90 % interval 43 to 56): half of them probably more than sixteen weeks ahead. Fruit that is yet to set isn't in this.",
			"About 49 more of what has set will ripen (43 to 56).",
		},
		{
			forecast.ToCome{Mean: 49.3, Low: 43, High: 56, Half: half, Most: most, Last: forecast.RipeBy{On: on(33), Low: on(24), High: on(53)}},
			"In all about 49 of the fruit that have set are still to ripen (90 % interval 43 to 56): half of them by 18 Feb, between 15 and 21 Feb; nine tenths by 9 Mar, between 28 Feb and 19 Mar; the last by 13 Mar, between 4 Mar and 2 Apr." +
				" Fruit that is yet to set isn't in this.",
			"About 49 more of what has set will ripen (43 to 56), nine tenths of them by 9 Mar (28 Feb to 19 Mar).",
		},
		{
			forecast.ToCome{Mean: 1.2, High: 3, Half: half, Most: most, Last: last},
			"In all about one of the fruit that have set is still to ripen (90 % interval 0 to 3): by 18 Feb, between 15 and 21 Feb. Fruit that is yet to set isn't in this.",
			"",
		},
		{forecast.ToCome{Mean: 0.01}, "", ""},
		{forecast.ToCome{Mean: 0.3, High: 1, Unlikely: true}, "More likely than not none of the fruit that have set is still to ripen (90 % interval 0 to 1). Fruit that is yet to set isn't in this.", ""},
		{
			forecast.ToCome{Mean: 3.8, Low: 1, High: 14, Half: half, Last: last, LastDay: &forecast.ByDay{On: crop.Date{Year: 2026, Month: 2, Day: 8}, Mean: 0.1}},
			"In all about 4 of the fruit that have set are still to ripen (90 % interval 1 to 14): half of them by 18 Feb, between 15 and 21 Feb; the last by 13 Mar, between 4 and 25 Mar." +
				" By the season's last day, 8 Feb, none of it is ripe. Fruit that is yet to set isn't in this.",
			"None of 4 to come will be ripe by the season's end, 8 Feb.",
		},
		{
			forecast.ToCome{Mean: 13.8, Low: 9, High: 19, LastDay: &forecast.ByDay{On: crop.Date{Year: 2026, Month: 2, Day: 8}, Mean: 0.3, High: 1}},
			"In all about 14 of the fruit that have set are still to ripen (90 % interval 9 to 19): half of them probably more than sixteen weeks ahead." +
				" By the season's last day, 8 Feb, hardly any of it is ripe (0 to 1). Fruit that is yet to set isn't in this.",
			"Hardly any of 14 to come will be ripe by the season's end, 8 Feb (0 to 1).",
		},
		{
			forecast.ToCome{Mean: 3.8, High: 14, Unseen: 3, Half: half, Last: last, LastDay: &forecast.ByDay{On: crop.Date{Year: 2026, Month: 2, Day: 8}, Mean: 0.3, High: 1}},
			"In all about 4 fruit that may have set are still to ripen (90 % interval 0 to 14): half of them by 18 Feb, between 15 and 21 Feb; the last by 13 Mar, between 4 and 25 Mar." +
				" By the season's last day, 8 Feb, hardly any of it is ripe (0 to 1). Fruit that is yet to set isn't in this.",
			"",
		},
	} {
		s := seasonToCome(x.all, forecast.ToCome{}, x.all)
		if got := s.ToComeSentence(); got != x.long {
			t.Errorf("%q, want %q", got, x.long)
		}
		if got := s.toComeWords(); got != x.short {
			t.Errorf("%q, want %q", got, x.short)
		}
		if s.CultivarsAhead() != nil {
			t.Errorf("a table of one cultivar: %+v", s.CultivarsAhead())
		}
	}
}

// TestFirstRipe: where nothing ripens within the days forecast, the first is told.
func TestFirstRipe(t *testing.T) {
	asOf := seasonToCome(forecast.ToCome{}, forecast.ToCome{}, forecast.ToCome{}).AsOf
	on := func(day int) time.Time { return asOf.AddDate(0, 0, day) }
	all := forecast.ToCome{Mean: 49.3, Low: 43, High: 56, First: forecast.RipeBy{On: on(20), Low: on(15), High: on(27)}, Half: forecast.RipeBy{On: on(40), Low: on(30), High: on(52)}}
	s := seasonToCome(all, forecast.ToCome{}, all)
	s.Ahead.Forecast.Season[0].Mean = 0.3
	if got, want := s.ToComeSentence(), "In all about 49 of the fruit that have set are still to ripen (90 % interval 43 to 56): the first by 28 Feb, between 23 Feb and 7 Mar; half of them by 20 Mar, between 10 Mar and 1 Apr; nine tenths probably more than sixteen weeks ahead."+
		" Fruit that is yet to set isn't in this."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got, want := s.toComeWords(), "About 49 more of what has set will ripen (43 to 56), the first by 28 Feb (23 Feb to 7 Mar)."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestCultivarsAhead: those with fruit to come, the plants of each, and all together.
func TestCultivarsAhead(t *testing.T) {
	if seasonToCome(forecast.ToCome{Mean: 30, High: 35}, forecast.ToCome{Mean: 0.02}, forecast.ToCome{Mean: 30, High: 35}).CultivarsAhead() != nil {
		t.Error("a cultivar with nothing to come is listed")
	}
	if got := seasonToCome(forecast.ToCome{Mean: 30, High: 35}, forecast.ToCome{Mean: 0.3, High: 1}, forecast.ToCome{Mean: 30.3, High: 35}).CultivarsAhead(); len(got) != 3 {
		t.Errorf("with a part of a fruit to come of one cultivar: %+v", got)
	}
	got := seasonToCome(forecast.ToCome{Mean: 30, High: 35}, forecast.ToCome{Mean: 12, High: 16}, forecast.ToCome{Mean: 42, High: 48}).CultivarsAhead()
	want := []CultivarAhead{{"red", 2, forecast.ToCome{Mean: 30, High: 35}}, {"orange", 1, forecast.ToCome{Mean: 12, High: 16}}, {"All", 3, forecast.ToCome{Mean: 42, High: 48}}}
	if len(got) != len(want) {
		t.Fatalf("%+v", got)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("%+v, want %+v", got[i], want[i])
		}
	}
}
