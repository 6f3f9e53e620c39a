package api

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// started serves a handler on a free port; stop ends it and returns what Serve returned.
func started(t *testing.T, h http.Handler, limits Limits) (address string, stop func() error) {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	t.Cleanup(cancel)
	ended := make(chan error, 1)
	go func() { ended <- Serve(ctx, listener, h, limits, slog.New(slog.DiscardHandler)) }()
	return listener.Addr().String(), func() error {
		cancel()
		return <-ended
	}
}

// slow holds a request until it is let go.
type slow struct {
	*memory
	entered, release chan struct{}
}

func (s slow) Get(ctx context.Context, kind crop.Kind, id crop.ID) (crop.Stored, error) {
	close(s.entered)
	<-s.release
	return crop.Stored{Record: &crop.Season{ID: id}, Version: 1}, ctx.Err()
}

func TestShutdownLetsRequestsEnd(t *testing.T) {
	store := slow{newMemory(), make(chan struct{}), make(chan struct{})}
	address, stop := started(t, New(Config{Store: store, Logger: slog.New(slog.DiscardHandler)}), Limits{})
	got := make(chan string, 1)
	go func() {
		r, err := http.Get("http://" + address + "/v1/seasons/0198b2c4-0000-7000-8000-000000000001")
		if err != nil {
			got <- err.Error()
			return
		}
		defer r.Body.Close()
		got <- r.Status
	}()
	<-store.entered
	stopped := make(chan error, 1)
	go func() { stopped <- stop() }()
	waitUntilRefused(t, address)
	close(store.release)
	if status := <-got; status != "200 OK" {
		t.Errorf("request under way got %s, want 200 OK", status)
	}
	if err := <-stopped; err != nil {
		t.Errorf("clean stop returned %v", err)
	}
}

func waitUntilRefused(t *testing.T, address string) {
	t.Helper()
	for range 200 {
		conn, err := net.Dial("tcp", address)
		if err != nil {
			return
		}
		conn.Close()
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatal("new connections are still taken 2 s after the stop")
}

func TestShutdownDoesNotWaitForEver(t *testing.T) {
	store := slow{newMemory(), make(chan struct{}), make(chan struct{})}
	defer close(store.release)
	address, stop := started(t, New(Config{Store: store, Logger: slog.New(slog.DiscardHandler)}), Limits{Shutdown: 50 * time.Millisecond})
	go func() {
		if r, err := http.Get("http://" + address + "/v1/seasons/0198b2c4-0000-7000-8000-000000000001"); err == nil {
			r.Body.Close()
		}
	}()
	<-store.entered
	if err := stop(); err == nil || !strings.Contains(err.Error(), "cut off") {
		t.Errorf("got %v, want an error that says requests were cut off", err)
	}
}

func TestListenerThatFails(t *testing.T) {
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	listener.Close()
	if err := Serve(context.Background(), listener, http.NotFoundHandler(), Limits{}, slog.New(slog.DiscardHandler)); err == nil {
		t.Error("got nil, want the listener's error")
	}
}

func TestSlowAndLargeRequestsEnd(t *testing.T) {
	limits := Limits{ReadHeader: 100 * time.Millisecond, Read: 200 * time.Millisecond, HeaderBytes: 4 << 10}
	h := New(Config{Store: newMemory(), Logger: slog.New(slog.DiscardHandler), Limits: limits})
	address, _ := started(t, h, limits)
	post := "POST /v1/seasons HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 50\r\n\r\n"
	for _, tc := range []struct{ name, send, want string }{
		{"half a header", "GET /healthz HTTP/1.1\r\nHost:", ""},
		{"half a body", post + `{"name":`, "400 Bad Request"},
		{"headers too large", "GET /healthz HTTP/1.1\r\nHost: localhost\r\nX-A: " + strings.Repeat("a", 16<<10) + "\r\n\r\n", "431"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			conn, err := net.Dial("tcp", address)
			if err != nil {
				t.Fatal(err)
			}
			defer conn.Close()
			_ = conn.SetDeadline(time.Now().Add(5 * time.Second))
			if _, err := io.WriteString(conn, tc.send); err != nil {
				t.Fatal(err)
			}
			line, err := bufio.NewReader(conn).ReadString('\n')
			if tc.want == "" && err != io.EOF || !strings.Contains(line, tc.want) {
				t.Errorf("got %q, %v, want %q and the connection closed", line, err, tc.want)
			}
		})
	}
}

func TestManyAtOnce(t *testing.T) {
	c := testClient(t)
	address, _ := started(t, c.handler, Limits{})
	var group sync.WaitGroup
	statuses := make(chan string, 200)
	for worker := range 8 {
		group.Go(func() {
			for n := range 10 {
				body := fmt.Sprintf(`{"name": "season %d of %d"}`, n, worker)
				r, err := http.Post("http://"+address+"/v1/seasons", "application/json", strings.NewReader(body))
				if err != nil {
					statuses <- err.Error()
					continue
				}
				r.Body.Close()
				statuses <- r.Status
			}
		})
	}
	group.Wait()
	close(statuses)
	for s := range statuses {
		if s != "201 Created" {
			t.Errorf("got %s, want 201 Created", s)
		}
	}
	if got := len(c.want(200, "GET", "/v1/seasons?limit=500", "").items(t)); got != 80 {
		t.Errorf("list holds %d, want 80", got)
	}
}

// Of many edits made from the same version exactly one may win.
func TestOneOfManyEditsWins(t *testing.T) {
	c := testClient(t)
	id := c.add(crop.Seasons, `{"name": "start"}`)
	var group sync.WaitGroup
	statuses := make([]int, 16)
	for i := range statuses {
		group.Go(func() {
			statuses[i] = c.do("PUT", "/v1/seasons/"+id, fmt.Sprintf(`{"name": "edit %d"}`, i), "If-Match", `"1"`).status
		})
	}
	group.Wait()
	count := map[int]int{}
	for _, s := range statuses {
		count[s]++
	}
	if count[200] != 1 || count[412] != len(statuses)-1 {
		t.Errorf("got %v, want one 200 and the rest 412", count)
	}
}
