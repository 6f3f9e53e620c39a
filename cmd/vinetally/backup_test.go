package main

import (
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

// posted writes one record to a server and returns the status.
func posted(method, address, text string) (int, error) {
	req, err := http.NewRequest(method, address, strings.NewReader(text))
	if err != nil {
		return 0, err
	}
	req.Header.Set("Content-Type", "application/json")
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		return 0, err
	}
	return res.StatusCode, res.Body.Close()
}

// TestBackupBesideServer backs up a database while clients post counts to its server, kills the server, and puts the copy
// in the place of the database as the guide says. Every count that was answered before the backup began is there.
func TestBackupBesideServer(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "trial.db")
	db := "sqlite:" + path
	wantDone(t, "import", "--db", db, folder(t, map[string]string{"plants.csv": onePlant, "counts.csv": "season,plant,counted_at,green\nSpring,A1,2026-04-01,1\n"}))
	out := filepath.Join(dir, "out")
	wantDone(t, "export", "--db", db, out)
	plants, err := os.ReadFile(filepath.Join(out, "plants.csv"))
	if err != nil {
		t.Fatal(err)
	}
	plant := idIn(t, string(plants))
	server := launchServer(t, db)

	var mu sync.Mutex
	var answered []string
	stop := make(chan struct{})
	var clients sync.WaitGroup
	for c := range 6 {
		clients.Go(func() {
			for n := 0; ; n++ {
				select {
				case <-stop:
					return
				default:
				}
				id := fmt.Sprintf("c0000000-0000-4000-8000-%06x%06x", c, n)
				at := time.Date(2026, 4, 2, 8, 0, c, 0, time.UTC).Add(time.Duration(n) * time.Minute).Format(time.RFC3339)
				status, err := posted("PUT", server.base+"/v1/counts/"+id, fmt.Sprintf(`{"id":%q,"plant_id":%q,"counted_at":%q,"counts":{"green":%d}}`, id, plant, at, n))
				if err != nil || status != http.StatusCreated && status != http.StatusOK {
					t.Errorf("put %s: %d, %v", id, status, err)
					return
				}
				mu.Lock()
				answered = append(answered, id)
				mu.Unlock()
			}
		})
	}
	time.Sleep(300 * time.Millisecond)
	mu.Lock()
	must := append([]string{}, answered...)
	mu.Unlock()
	copied := filepath.Join(dir, "copy.db")
	said := wantDone(t, "backup", "--db", db, copied)
	mu.Lock()
	after := len(answered)
	mu.Unlock()
	if !strings.HasPrefix(said, "Wrote "+copied+": ") || !strings.Contains(said, "nothing is wrong") {
		t.Errorf("backup says %q", said)
	}
	if out := wantDone(t, "check", "--db", db); !strings.HasSuffix(out, "Nothing is wrong.\n") {
		t.Errorf("check beside the server says %q", out)
	}
	close(stop)
	clients.Wait()
	server.kill()

	// Put it back: the old file and its log go together.
	for _, end := range []string{"", "-wal", "-shm"} {
		if err := os.Remove(path + end); err != nil {
			t.Errorf("a killed server leaves the log with its file: %v", err)
		}
	}
	if err := os.Rename(copied, path); err != nil {
		t.Fatal(err)
	}
	if out := wantDone(t, "check", "--db", db); !strings.HasSuffix(out, "Nothing is wrong.\n") {
		t.Errorf("check of the restored database says %q", out)
	}
	wantDone(t, "export", "--db", db, filepath.Join(dir, "restored"))
	counts, err := os.ReadFile(filepath.Join(dir, "restored", "counts.csv"))
	if err != nil {
		t.Fatal(err)
	}
	lost := 0
	for _, id := range must {
		if !strings.Contains(string(counts), id) {
			lost++
		}
	}
	if lost > 0 || len(must) == 0 {
		t.Errorf("%d of %d counts that were answered before the backup began are not in it", lost, len(must))
	}
	t.Logf("%d counts answered before the backup, %d when it was done, %d rows in the copy", len(must), after, strings.Count(string(counts), "\n")-1)
}

// idIn is the id in the one line of an exported file.
func idIn(t *testing.T, text string) string {
	t.Helper()
	header, line, _ := strings.Cut(strings.TrimSpace(text), "\n")
	names, cells := strings.Split(header, ","), strings.Split(line, ",")
	for i, name := range names {
		if name == "id" && i < len(cells) {
			return cells[i]
		}
	}
	t.Fatalf("no id in %q", text)
	return ""
}

// TestBackupOverwrites: a file that is there is kept until it may be replaced.
func TestBackupOverwrites(t *testing.T) {
	db := madeEmpty(t)
	to := filepath.Join(t.TempDir(), "copy.db")
	wantDone(t, "backup", "--db", db, to)
	wantRefused(t, exitRefused, []string{"backup", "--db", db, to}, to, "--overwrite")
	wantDone(t, "backup", "--overwrite", "--db", db, to)
	wantDone(t, "check", "--db", to)
	wantRefused(t, exitRefused, []string{"backup", "--db", db, filepath.Join(t.TempDir(), "none", "copy.db")}, "choose a folder that exists and can be written")
}

// TestBackupFindsNoRoom: a copy that can't be written to its end is told, and nothing of it is left. The limit on the size of
// files stands in for a disk that is too small.
func TestBackupFindsNoRoom(t *testing.T) {
	db := scratch(t)
	wantDone(t, "import", "--db", db, demoFolder(t))
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	c := exec.Command("sh", "-c", `ulimit -f 200; exec "$0" "$@"`, self, "backup", "--db", db, filepath.Join(dir, "copy.db"))
	c.Env = append(os.Environ(), asProgram+"=1")
	said, err := c.CombinedOutput()
	if c.ProcessState == nil || c.ProcessState.ExitCode() != exitRefused {
		t.Errorf("%v, %q; want status %d", err, said, exitRefused)
	}
	if text := string(said); strings.Count(text, "\n") != 1 || !strings.Contains(text, dir+"; choose another folder, nothing was kept") {
		t.Errorf("backup says %q", text)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, ".*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	wantDone(t, "check", "--db", db)
}
