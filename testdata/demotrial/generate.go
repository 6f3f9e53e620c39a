package demotrial

import (
	"fmt"
	"maps"
	"slices"
)

// Generate returns the files of the demo trial by name: the CSV files, a
// README.md that says what they are, and the .gitattributes that keeps their
// bytes. It gives the same bytes every time.
func Generate() map[string][]byte { return Simulate().Files }

// Simulate returns the whole trial: the files, the mistakes planted in them and
// what truly became of the fruit.
//
// It has no input, so it has no errors: a plan that can't be carried out (a
// mistake that would not be visible) is a fault of this package and panics.
func Simulate() Trial {
	b := newBook()
	register(b)
	plans := newPlans()
	var trial Trial
	var mistakes []*Mistake
	for _, s := range seasons {
		r := newRun(s, b, plans)
		r.play()
		r.registerPlants()
		r.readThermometers()
		r.keepDiary()
		r.germinate()
		mistakes = append(mistakes, r.mistakes...)
		for _, bush := range r.bushes {
			trial.Truth = append(trial.Truth, bush.truth)
		}
	}
	for _, p := range plans {
		if !p.used {
			panic(fmt.Sprintf("demotrial: %s %s: %q planned from %s never came about", p.season, p.plant, p.kind, p.from))
		}
	}
	trial.Files = map[string][]byte{}
	for _, table := range slices.Sorted(maps.Keys(headers)) {
		trial.Files[table] = b.encode(table)
	}
	for _, m := range mistakes {
		trial.Mistakes = append(trial.Mistakes, *m)
	}
	trial.Files["README.md"] = readme(trial)
	trial.Files[".gitattributes"] = []byte("# The bytes of these files are compared with what the generator makes.\n*.csv -text\nREADME.md -text\n.gitattributes -text\n")
	return trial
}
