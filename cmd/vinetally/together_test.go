package main

import (
	"database/sql"
	"fmt"
	"maps"
	"math/rand/v2"
	"net/http"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// longestAnswer is what no request may take while another process has the database: the ten seconds that a change waits
// before it is refused as busy, and as much again for a machine with other work.
const longestAnswer = 20 * time.Second

// crowd is clients at work, with their records.
type crowd struct {
	growers []*grower
	begun   atomic.Int64
	stop    chan struct{}
	all     sync.WaitGroup
}

// startCrowd stores the season and lets clients of each mix write to servers in turn.
func startCrowd(t *testing.T, seed uint64, mixes []mix, servers ...*process) *crowd {
	t.Helper()
	c := &crowd{stop: make(chan struct{})}
	for i := range mixes {
		c.growers = append(c.growers, newGrower(t, fmt.Sprintf("client %d", i), rand.New(rand.NewPCG(seed, uint64(i))), &c.begun))
	}
	if _, ok := c.growers[0].send(servers[0].base, trialBase()); !ok {
		t.Fatal("the season isn't stored")
	}
	for i, g := range c.growers {
		c.all.Go(func() { g.work(servers[i%len(servers)].base, mixes[i], c.stop) })
	}
	return c
}

// end lets the clients finish what they are at.
func (c *crowd) end() {
	close(c.stop)
	c.all.Wait()
}

// wantKept ends the clients' work and checks that everything that they were told is kept is there, and nothing else but what
// was imported; and that nobody waited too long.
func (c *crowd) wantKept(t *testing.T, base string) {
	t.Helper()
	c.end()
	stored := c.growers[0].readAll(base)
	maps.DeleteFunc(stored, func(key string, _ body) bool { return strings.Contains(key, "/f11e00") })
	busy, acked, longest := 0, 0, time.Duration(0)
	for _, g := range c.growers {
		if g.open != nil {
			t.Errorf("%s: %s %s got no answer", g.name, g.open.method, g.open.path)
			g.open = nil
		}
		g.settle(base, stored)
		g.wantHistories(base)
		busy, acked, longest = busy+g.busy, acked+g.acked, max(longest, g.longest)
		if g.acked == 0 {
			t.Errorf("%s: nothing was stored", g.name)
		}
	}
	wantNoOthers(stored, c.growers)
	if longest > longestAnswer {
		t.Errorf("an answer took %s, want %s at most", longest, longestAnswer)
	}
	t.Logf("%d writes answered, the slowest after %s; %d times the store was busy, and the write went well when it was sent again", acked, longest, busy)
}

// added is the ids of records that a grower who only adds was told of so far.
func (g *grower) added() []string {
	g.mu.Lock()
	defer g.mu.Unlock()
	return slices.Clone(g.ids)
}

// importedRows counts the lines of an export that belong to an imported season and are of a kind of row.
func importedRows(export string, c csvTrial, kind int) int {
	return strings.Count(export, "\n"+c.id(kind, 0)[:24])
}

// wantImported imports a folder beside the others' work. Being told that the records are taken is no fault, but it must not
// go on.
func wantImported(t *testing.T, args []string) (refusals int) {
	t.Helper()
	for ; ; refusals++ {
		p := launch(t, args...)
		status := p.wait(t)
		p.wantQuiet(t)
		if status == exitDone {
			return refusals
		}
		if !strings.Contains(p.errs.String(), "try again") || refusals == 5 {
			t.Fatalf("%s: status %d, refused %d times, %s", p, status, refusals+1, p.errs)
		}
	}
}

// TestServerAndImport serves a database to clients that read and write while other processes import into it and export it:
// nothing is lost on either side, an export has an import as a whole, and nobody meets a locked database.
func TestServerAndImport(t *testing.T) {
	path := filepath.Join(t.TempDir(), "trial.db")
	db := "sqlite:" + path
	server := launchServer(t, db)
	c := startCrowd(t, 2, []mix{{}, {}, {batches: 60, edits: 20}, {edits: 80}}, server)
	reader := newGrower(t, "reader", rand.New(rand.NewPCG(2, 9)), new(atomic.Int64))
	c.all.Go(func() {
		for {
			select {
			case <-c.stop:
				return
			default:
				reader.wantFound(server.base, c.growers[0].added())
			}
		}
	})
	states := importStates()
	refusals := 0
	for i, s := range states {
		refusals += wantImported(t, s.importArgs(db, s.write(t)))
		before := slices.Concat(c.growers[0].added(), c.growers[1].added())
		export := exported(t, db)
		for _, s := range states[:i+1] {
			if got := []int{importedRows(export, s, 4), importedRows(export, s, 5), importedRows(export, s, 6)}; !slices.Equal(got, []int{s.plants, s.plants * s.visits, s.plants * s.visits / 10}) {
				t.Errorf("the export has %d plants, counts and pickings of season %d", got, s.season)
			}
		}
		for _, id := range before {
			if !strings.Contains(export, id) {
				t.Errorf("the export lacks %s, which was stored before it began", id)
			}
		}
	}
	t.Logf("%d imports, refused as busy %d times", len(states), refusals)
	c.wantKept(t, server.base)
	server.wantStop(t)
	wantChecked(t, path)
}

// wantFound reads some of the records.
func (g *grower) wantFound(base string, ids []string) {
	var page struct{ Items []body }
	g.get(base+"/v1/counts?limit=100", &page)
	for range min(5, len(ids)) {
		id := ids[g.rng.IntN(len(ids))]
		found := false
		for _, kind := range bookKinds {
			resp, err := g.client.Get(base + "/v1/" + kind + "/" + id)
			if err != nil {
				g.t.Errorf("read %s: %v", id, err)
				return
			}
			_ = resp.Body.Close()
			found = found || resp.StatusCode == http.StatusOK
		}
		if !found {
			g.t.Errorf("%s was stored, and can't be read", id)
		}
	}
}

// TestTwoServers serves one file from two processes: what one was told the other knows, and adding to one number from both
// loses nothing.
func TestTwoServers(t *testing.T) {
	path := filepath.Join(t.TempDir(), "trial.db")
	db := "sqlite:" + path
	first, second := launchServer(t, db), launchServer(t, db)
	c := startCrowd(t, 3, []mix{{}, {}, {batches: 60, edits: 20}, {edits: 80}}, first, second)
	const adders, each = 4, 15
	var all sync.WaitGroup
	for i := range adders {
		g := newGrower(t, fmt.Sprintf("adder %d", i), nil, new(atomic.Int64))
		base := []*process{first, second}[i%2].base
		all.Go(func() {
			for n := range each {
				g.addOne(base, n)
			}
		})
	}
	all.Wait()
	c.wantKept(t, second.base)
	var cultivar body
	c.growers[0].get(first.base+"/v1/cultivars/"+cultivarID, &cultivar)
	if cultivar["hold_days"] != float64(adders*each) || cultivar["version"] != float64(1+adders*each) {
		t.Errorf("%d times 1 was added, the sum is %v at version %v", adders*each, cultivar["hold_days"], cultivar["version"])
	}
	first.wantStop(t)
	second.wantStop(t)
	wantChecked(t, path)
}

// addOne adds 1 to the cultivar's hold time, from the version that it read. It signs each, since what is sent a second time
// is taken for the same.
func (g *grower) addOne(base string, n int) {
	address := base + "/v1/cultivars/" + cultivarID
	for range 1000 {
		var is body
		g.get(address, &is)
		days, _ := is["hold_days"].(float64)
		req, err := http.NewRequest("PUT", address, strings.NewReader(fmt.Sprintf(`{"name": "Pip (invented)", "hold_days": %v, "note": "%s, number %d"}`, days+1, g.name, n)))
		if err != nil {
			g.t.Error(err)
			return
		}
		req.Header.Set("Content-Type", "application/json")
		req.Header.Set("If-Match", fmt.Sprintf(`"%v"`, is["version"]))
		switch status, header, text, err := g.do(req); {
		case err == nil && status == http.StatusOK:
			return
		case err == nil && (status == http.StatusPreconditionFailed || status == http.StatusServiceUnavailable && header.Get("Retry-After") != ""):
		default:
			g.t.Errorf("%s: %d %s %v", g.name, status, text, err)
			return
		}
	}
	g.t.Errorf("%s: never got its turn", g.name)
}

// TestImportKilledBesideServer kills imports while a server goes on: its clients notice nothing, and what was imported is
// there as a whole or not at all. In the end the server is killed while an import goes on, which ends well.
func TestImportKilledBesideServer(t *testing.T) {
	path := filepath.Join(t.TempDir(), "trial.db")
	db := "sqlite:" + path
	server := launchServer(t, db)
	c := startCrowd(t, 4, []mix{{}, {batches: 60, edits: 20}, {edits: 80}}, server)
	rng := rand.New(rand.NewPCG(4, 4))
	took := time.Second
	for season := range 3 {
		s := csvTrial{season: season, plants: 20, visits: 100}
		args := s.importArgs(db, s.write(t))
		for range 3 {
			p := launch(t, args...)
			time.Sleep(time.Duration(rng.Int64N(int64(took))))
			p.kill()
			p.wantQuiet(t)
			begun := c.begun.Load()
			for until := time.Now().Add(longestAnswer); c.begun.Load() < begun+int64(2*len(c.growers)); time.Sleep(time.Millisecond) {
				if time.Now().After(until) {
					t.Fatalf("after an import was killed the clients don't get on: %s", server.errs)
				}
			}
			export := exported(t, db)
			got := []int{importedRows(export, s, 4), importedRows(export, s, 5), importedRows(export, s, 6)}
			if whole := []int{s.plants, s.plants * s.visits, s.plants * s.visits / 10}; !slices.Equal(got, whole) && !slices.Equal(got, []int{0, 0, 0}) {
				t.Errorf("a killed import left %d of %d plants, counts and pickings", got, whole)
			}
		}
		start := time.Now()
		wantImported(t, args)
		took = time.Since(start)
	}
	c.wantKept(t, server.base)
	s := csvTrial{season: 9, plants: 20, visits: 100}
	p := launch(t, s.importArgs(db, s.write(t))...)
	time.Sleep(took / 4)
	server.kill()
	if status := p.wait(t); status != exitDone {
		t.Errorf("the server killed, %s: status %d, %s", p, status, p.errs)
	}
	if got := importedRows(exported(t, db), s, 5); got != s.plants*s.visits {
		t.Errorf("%d counts are imported, want %d", got, s.plants*s.visits)
	}
	wantChecked(t, path)
}

// TestWritingWhileTaken: while another process has the database for longer than a change waits, a server reads on, answers a
// write with 503, when to come again and what to do, and takes the same write once the other is done. An import says the
// same in a line.
func TestWritingWhileTaken(t *testing.T) {
	t.Parallel() // it waits most of the time
	path := madeDatabase(t)
	server := launchServer(t, "sqlite:"+path)
	g := newGrower(t, "client", rand.New(rand.NewPCG(6, 6)), new(atomic.Int64))
	if _, ok := g.send(server.base, trialBase()); !ok {
		t.Fatal("the season isn't stored")
	}
	other, err := sql.Open(sqliteDriver(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	taken, err := other.Conn(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	if _, err := taken.ExecContext(t.Context(), "BEGIN IMMEDIATE"); err != nil {
		t.Fatal(err)
	}
	importing := launch(t, "import", "--db", "sqlite:"+path, folder(t, map[string]string{"plants.csv": onePlant}))
	r := g.add()
	start := time.Now()
	status, header, text, err := g.do(g.httpRequest(server.base, r))
	if took := time.Since(start); err != nil || status != http.StatusServiceUnavailable || header.Get("Retry-After") == "" || took > longestAnswer {
		t.Errorf("after %s: %d %s %v, want 503 with Retry-After", took, status, text, err)
	}
	for _, words := range []string{`"/problems/busy"`, "taken by another change", "try again"} {
		if !strings.Contains(string(text), words) {
			t.Errorf("the answer doesn't say %s: %s", words, text)
		}
	}
	if got := importing.wait(t); got != exitRefused || strings.Count(importing.errs.String(), "\n") != 1 || !strings.Contains(importing.errs.String(), "try again") {
		t.Errorf("the import ends with status %d and says %q", got, importing.errs)
	}
	start = time.Now()
	if stored := g.readAll(server.base); len(stored) != 0 {
		t.Errorf("%d records were stored", len(stored))
	}
	exported(t, "sqlite:"+path)
	if took := time.Since(start); took > 5*time.Second {
		t.Errorf("reading took %s", took)
	}
	if _, err := taken.ExecContext(t.Context(), "ROLLBACK"); err != nil {
		t.Fatal(err)
	}
	answer, ok := g.send(server.base, r)
	if !ok {
		t.Fatal("sent again, the write doesn't go well")
	}
	g.keep(r, answer)
	g.settle(server.base, g.readAll(server.base))
	importing.wantQuiet(t)
	server.wantStop(t)
}
