package main

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"sync/atomic"
	"testing"
	"time"
)

// importTally counts what the kills of imports met.
type importTally struct {
	kills, ended, stored atomic.Int64
}

// importStates are the imports that one database goes through: seasons, each followed by other numbers for the same rows.
func importStates() (states []csvTrial) {
	for i := range 4 {
		states = append(states, csvTrial{season: i / 2, edition: i % 2, plants: 20, visits: 100})
	}
	return states
}

// TestKilledWhileImporting kills imports of new rows and of rows that replace others at moments of a fixed plan, spread over
// the time that they take. After each kill the database exports what it did before or what it does after the whole import,
// and is sound; one that said it was done is there; and the same import again completes it.
func TestKilledWhileImporting(t *testing.T) {
	const lanes = 3
	states := importStates()
	kills := max(1, (fromEnvironment(t, killRoundsVariable, 102)/3+lanes*len(states)-1)/(lanes*len(states))) // of each import
	seed := uint64(fromEnvironment(t, killSeedVariable, 1))
	// What the database exports after each import, and how long that takes when nothing comes between.
	db := "sqlite:" + madeDatabase(t)
	folders := make([]string, len(states))
	after := []string{exported(t, db)}
	var took time.Duration
	for i, s := range states {
		folders[i] = s.write(t)
		start := time.Now()
		wantFinished(t, s.importArgs(db, folders[i])...)
		took = time.Since(start)
		after = append(after, exported(t, db))
		if after[i+1] == after[i] {
			t.Fatalf("import %d changes nothing", i)
		}
	}
	var tally importTally
	t.Run("lanes", func(t *testing.T) {
		for lane := range lanes {
			t.Run(fmt.Sprint(lane), func(t *testing.T) {
				t.Parallel()
				rng := rand.New(rand.NewPCG(seed, uint64(lane)))
				path := madeDatabase(t)
				l := importLane{path: path, db: "sqlite:" + path, rng: rng, took: took, tally: &tally}
				for i, s := range states {
					l.round(t, kills, s.importArgs(l.db, folders[i]), after[i], after[i+1])
				}
				l.wantVersions(t, states)
			})
		}
	})
	t.Logf("%d kills of imports; %d had ended by themselves; %d of the others were stored",
		tally.kills.Load(), tally.ended.Load(), tally.stored.Load())
	if total, ended := tally.kills.Load(), tally.ended.Load(); total < int64(lanes*len(states)*kills) || 2*ended > total {
		t.Errorf("%d kills, %d of them too late: too few to say much", total, ended)
	}
}

// importLane is one database and the imports that are killed.
type importLane struct {
	path, db string
	rng      *rand.Rand
	took     time.Duration // how long the last whole import took
	tally    *importTally
}

// round kills an import again and again, then lets it end.
func (l *importLane) round(t *testing.T, kills int, args []string, before, after string) {
	t.Helper()
	for range kills {
		pause := time.Duration(l.rng.Int64N(int64(l.took) * 21 / 20))
		p := launch(t, args...)
		time.Sleep(pause)
		p.kill()
		p.wantQuiet(t)
		l.tally.kills.Add(1)
		done := p.cmd.ProcessState.ExitCode() == exitDone
		if done {
			l.tally.ended.Add(1)
		}
		wantSound(t, l.path) // before another program has put it right
		switch is := exported(t, l.db); {
		case is == after:
			if !done && before != after {
				l.tally.stored.Add(1)
			}
			before = after
		case is != before:
			t.Fatalf("%s, killed after %s, is partly stored: %s", p, pause, firstDifference(is, after))
		case done:
			t.Fatalf("%s ended well, and nothing is stored", p)
		}
	}
	start := time.Now()
	said := wantFinished(t, args...)
	l.took = time.Since(start)
	if is := exported(t, l.db); is != after {
		t.Fatalf("imported again it says %q, and is not whole: %s", said, firstDifference(is, after))
	}
	wantChecked(t, l.path)
}

// wantVersions checks that replacing a count twice over, killed in between, left one earlier version and no more.
func (l *importLane) wantVersions(t *testing.T, states []csvTrial) {
	t.Helper()
	server := launchServer(t, l.db)
	g := newGrower(t, "reader", l.rng, new(atomic.Int64))
	for _, s := range states {
		for range 5 {
			var page struct{ Items []body }
			g.get(server.base+"/v1/counts/"+s.id(5, l.rng.IntN(s.plants*s.visits))+"/history", &page)
			if len(page.Items) != 2 || page.Items[0]["version"] != 1.0 || page.Items[1]["version"] != 2.0 {
				t.Errorf("a count that was imported and replaced has the versions %s", encoded(page.Items))
			}
		}
	}
	server.wantStop(t)
}

// firstDifference shows where two texts part.
func firstDifference(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range min(len(g), len(w)) {
		if g[i] != w[i] {
			return fmt.Sprintf("line %d is %q, want %q", i+1, g[i], w[i])
		}
	}
	return fmt.Sprintf("%d lines, want %d", len(g), len(w))
}
