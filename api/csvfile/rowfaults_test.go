package csvfile

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

// What can't be read in a row doesn't hide what is wrong with the rest of it, and nothing is said that rests on what couldn't be
// read.
func TestSeveralFaultsOfARow(t *testing.T) {
	for _, c := range []struct {
		name string
		in   files
		want []string // how each fault begins
	}{
		{"number, time and rule", files{"counts.csv": "season,plant,counted_at,green,breaker,truss\n2026,A1,03/02/2026,x,-1,0\n"},
			[]string{"counted_at: \"03/02/2026\" could mean", "green: \"x\" is not a whole number", "breaker: is -1", "truss: is 0"}},
		{"the sum rests on what can't be read", files{"counts.csv": "season,plant,counted_at,green,breaker,total\n2026,A1,2026-04-05,x,9,5\n"},
			[]string{"green: \"x\" is not a whole number"}},
		{"no stage rests on what can't be read", files{"counts.csv": "season,plant,counted_at,green\n2026,A1,2026-04-05,x\n"},
			[]string{"green: \"x\" is not a whole number"}},
		{"unknown plant and future", files{"counts.csv": "season,plant,counted_at,green,truss\n2026,Z9,2026-04-05,1,0\n"},
			[]string{"plant: there is no plant \"Z9\"", "truss: is 0"}},
		{"number and rule of a picking", files{"pickings.csv": "season,plant,picked_at,fruits,mass_g,grade,taste\n2026,A1,2026-04-05,\"1,5\",x,best,12\n"},
			[]string{"fruits: \"1,5\" has a comma", "mass_g: \"x\" is not a number", "grade: is \"best\"", "taste: is 12"}},
		{"place missing, cause unknown", files{"losses.csv": "season,plant,place,cultivar,lost_at,stage,fruits,cause\n2026,,bench,,2026-04-05,red,1,hail\n"},
			[]string{"plant: is empty", "cause: is \"hail\""}},
		{"reading", files{"temperatures.csv": "place,measured_at,air_c\nbench,2026-04-05,5000\n"},
			[]string{"measured_at: 2026-04-05 is a day without a time", "air_c: is 5000"}},
		{"plant", files{"plants.csv": "season,place,cultivar,plant,sown_on,transplanted_on,removed_on\n2026,bench,Amberlin,B1,2026-02-30,2026-03-02,2026-03-01\n"},
			[]string{"sown_on: \"2026-02-30\" is not a day", "removed_on: is "}},
		{"plant without a day that can be read", files{"plants.csv": "season,place,cultivar,plant,sown_on,transplanted_on\n2026,bench,Amberlin,B1,,x\n"},
			[]string{"transplanted_on: \"x\" is not a date"}},
		{"germination", files{"germination.csv": "season,cultivar,lot,sown_on,seeds,counted_on,emerged\n2026,Amberlin,l,2026-02-01,x,2026-01-01,1\n"},
			[]string{"seeds: \"x\" is not a whole number", "counted_on: is 2026-01-01"}},
		{"season", files{"seasons.csv": "season,first_day,last_day\n" + strings.Repeat("y", 300) + ",x,2026-01-01\n"},
			[]string{"season: has 300 characters", "first_day: \"x\" is not a date"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := importInto(newMemory(), with(c.in), options())
			faults, ok := errors.AsType[*FaultError](err)
			if !ok {
				t.Fatalf("got %v, want faults", err)
			}
			var got []string
			for _, f := range faults.Faults {
				got = append(got, f.Column+": "+f.What)
			}
			missing := slices.Clone(c.want)
			for _, g := range got {
				missing = slices.DeleteFunc(missing, func(w string) bool { return strings.HasPrefix(g, w) })
			}
			if len(missing) > 0 || len(got) != len(c.want) {
				t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(c.want, "\n"))
			}
		})
	}
}
