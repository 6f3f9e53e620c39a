package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// killRoundsVariable is the environment variable for more rounds of the tests that kill the program, and killSeedVariable
// for another plan.
const (
	killRoundsVariable = "VINETALLY_KILL_ROUNDS"
	killSeedVariable   = "VINETALLY_KILL_SEED"
)

func fromEnvironment(t *testing.T, name string, otherwise int) int {
	t.Helper()
	text := os.Getenv(name)
	if text == "" {
		return otherwise
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		t.Fatalf("%s is %q; it must be a whole number from 1", name, text)
	}
	return n
}

// killTally counts what the kills met.
type killTally struct {
	rounds, acked, open, carried, startsKilled atomic.Int64
}

// TestKilledWhileServing kills the server (SIGKILL, as kill -9) at moments of a fixed plan, while four clients add records,
// edit, delete, restore and sync, and while it starts again. After each kill: what was answered is there with its contents
// and every version in its history; what got no answer is there as a whole or not at all, and sent again it goes well;
// nothing else is there; and the file is sound. A killed process can't show whether the disk has what the system was given
// to write; that is settled by the commits' synchronous=FULL.
func TestKilledWhileServing(t *testing.T) {
	const lanes = 6
	rounds := (fromEnvironment(t, killRoundsVariable, 102) + 2) / 3 * 2 // of three, one is an import's
	seed := uint64(fromEnvironment(t, killSeedVariable, 1))
	var tally killTally
	t.Run("lanes", func(t *testing.T) {
		for lane := range lanes {
			t.Run(fmt.Sprint(lane), func(t *testing.T) {
				t.Parallel()
				killLane(t, rand.New(rand.NewPCG(seed, uint64(lane))), (rounds+lanes-1)/lanes, &tally)
			})
		}
	})
	t.Logf("%d kills, %d of them while it started; %d writes answered, %d under way when it was killed, of which %d were stored",
		tally.rounds.Load(), tally.startsKilled.Load(), tally.acked.Load(), tally.open.Load(), tally.carried.Load())
	if open := tally.open.Load(); open < int64(rounds) || tally.rounds.Load() < int64(rounds) {
		t.Errorf("%d kills met %d writes under way, want at least %d of each", tally.rounds.Load(), open, rounds)
	}
}

// killLane is one database that is served and killed round by round.
func killLane(t *testing.T, rng *rand.Rand, rounds int, tally *killTally) {
	path := filepath.Join(t.TempDir(), "trial.db")
	db := "sqlite:" + path
	server := launchServer(t, db)
	var begun atomic.Int64
	var growers []*grower
	for i := range 4 {
		growers = append(growers, newGrower(t, fmt.Sprintf("client %d", i), rand.New(rand.NewPCG(rng.Uint64(), uint64(i))), &begun))
	}
	if _, ok := growers[0].send(server.base, trialBase()); !ok {
		t.Fatal("the season isn't stored")
	}
	for round := range rounds {
		m := []mix{{edits: 10}, {edits: 20, batches: 70}, {edits: 80}, {edits: 30, batches: 20}}[round%4]
		writes, pause := 1+rng.IntN(120), time.Duration(rng.IntN(3000))*time.Microsecond
		if m.batches > 50 {
			writes, pause = 1+rng.IntN(20), 6*pause
		}
		begun.Store(0)
		var all sync.WaitGroup
		for _, g := range growers {
			all.Go(func() { g.work(server.base, m, nil) })
		}
		for until := time.Now().Add(time.Minute); begun.Load() < int64(writes); time.Sleep(20 * time.Microsecond) {
			if time.Now().After(until) || !server.alive() || t.Failed() {
				t.Errorf("round %d: %d of %d writes begun; %s", round, begun.Load(), writes, server.errs)
				break
			}
		}
		time.Sleep(pause)
		server.kill()
		all.Wait()
		server.wantQuiet(t)
		tally.rounds.Add(1)
		if round%5 == 4 { // killed again while it starts, and so while it mends what the first kill left
			again := launch(t, "serve", "--db", db, "--listen", "127.0.0.1:0")
			time.Sleep(time.Duration(rng.IntN(80)) * time.Millisecond)
			again.kill()
			again.wantQuiet(t)
			tally.rounds.Add(1)
			tally.startsKilled.Add(1)
		}
		if round%4 == 3 {
			wantChecked(t, path) // as the kill left it
		}
		server = launchServer(t, db)
		stored := growers[0].readAll(server.base)
		for _, g := range growers {
			wasOpen, carried := g.settle(server.base, stored)
			if wasOpen {
				tally.open.Add(1)
			}
			if carried {
				tally.carried.Add(1)
			}
			g.wantHistories(server.base)
		}
		wantNoOthers(stored, growers)
		wantSound(t, path)
		if t.Failed() {
			t.Fatalf("round %d: killed %s after %d writes had begun", round, pause, writes)
		}
	}
	for _, g := range growers {
		tally.acked.Add(int64(g.acked))
	}
	server.wantStop(t)
	wantChecked(t, path)
}

// TestKilledWhileMaking kills the program while it makes a new database; started again, it makes the whole.
func TestKilledWhileMaking(t *testing.T) {
	rng := rand.New(rand.NewPCG(uint64(fromEnvironment(t, killSeedVariable, 1)), 7))
	started := time.Now()
	madeDatabase(t)
	took := time.Since(started)
	unfinished := 0
	for range 10 {
		path := filepath.Join(t.TempDir(), "trial.db")
		pause := time.Duration(rng.Int64N(int64(took)))
		p := launch(t, "serve", "--db", "sqlite:"+path, "--listen", "127.0.0.1:0")
		time.Sleep(pause)
		p.kill()
		p.wantQuiet(t)
		if p.out.String() == "" {
			unfinished++
		}
		server := launchServer(t, "sqlite:"+path)
		g := newGrower(t, "client", rng, new(atomic.Int64))
		if _, ok := g.send(server.base, trialBase()); !ok {
			t.Errorf("killed %s after it began to make a database, it stores nothing", pause)
		}
		server.wantStop(t)
		wantChecked(t, path)
	}
	if unfinished == 0 {
		t.Error("every kill came too late")
	}
}
