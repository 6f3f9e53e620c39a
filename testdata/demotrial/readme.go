package demotrial

import (
	"bytes"
	"fmt"
)

// readme returns the README.md that goes with the files.
func readme(t Trial) []byte {
	var out bytes.Buffer
	out.WriteString(`# An invented trial of compact tomatoes

Everything here is made up: the people, the cultivars, the numbers. No such trial was ever grown.

Inês and Rui grow three cultivars that don't exist in an eight-pod unit in their kitchen and in pots on a balcony.
The winter season is finished. In the autumn season they went away on 11 October 2026 and nobody looked for a fortnight;
the records end on the evening of the 26th, with the balcony counted by torchlight and not yet picked, so ripe fruit hangs
there that is long past its time. They write things down as people do: some dates without a time, some counts
not finished, and a few honest mistakes.

The files are made by ` + "`go run ./testdata/demotrial/generate -o testdata/demo`" + ` (fixed seed, same bytes every time);
don't edit them by hand.

## The mistakes in it

Planted, so that people and tests can look for them. ` + "`where`" + ` is the line of the wrong record, or of the first count that
lacks fruit that was picked and not written down.

| where | season, plant, time | what |
|---|---|---|
`)
	for _, m := range t.Mistakes {
		fmt.Fprintf(&out, "| %s:%d | %s, %s, %s | %s: %s |\n", m.File, m.Line, m.Season, m.Plant, m.At, m.Kind, m.What)
	}
	out.WriteString(`
## What truly became of the fruit

As the simulation has it, by cultivar; it differs from the records where those are wrong. Lost is fruit that went unpicked
and was found, thinned fruit included; cleared went with its plant; unseen was gone before anybody noticed it.
Past ripe: ripe for more than 7 days when the records end.

| season | cultivar | plants | set | picked | lost | cleared | unseen | left | of it ripe | of it past ripe |
|---|---|---|---|---|---|---|---|---|---|---|
`)
	for _, s := range seasons {
		for _, c := range cultivars {
			var sum PlantTruth
			plants := 0
			for _, p := range t.Truth {
				if p.Season != s.name || p.Cultivar != c.name || p.Set == 0 {
					continue
				}
				plants++
				sum.Set += p.Set
				sum.Picked += p.Picked
				sum.Lost += p.Lost
				sum.Cleared += p.Cleared
				sum.NeverSeen += p.NeverSeen
				sum.Left += p.Left
				sum.LeftRipe += p.LeftRipe
				sum.LeftPastRipe += p.LeftPastRipe
			}
			fmt.Fprintf(&out, "| %s | %s | %d | %d | %d | %d | %d | %d | %d | %d | %d |\n", s.name, c.name, plants,
				sum.Set, sum.Picked, sum.Lost, sum.Cleared, sum.NeverSeen, sum.Left, sum.LeftRipe, sum.LeftPastRipe)
		}
	}
	return out.Bytes()
}
