package main

import (
	"bufio"
	"context"
	"encoding/json"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/localdb"
	"scumble/internal/store/storetest"
)

// patient bounds how long a busy machine may take for what needs milliseconds.
const patient = 30 * time.Second

// The database goes away under a running shop and comes back: everybody is told,
// nothing that was typed is lost, and nobody has to start anything again.
func TestDatabaseGoneForAWhile(t *testing.T) {
	t.Parallel()
	db := newNamedDatabase(t)
	p := spawn(t, "serve", "--database-url", db.url)
	s := setUpShop(t, p.program)
	link := s.makeLink()
	visitor := newClient(t, p.base)
	live := s.owner.listen("/office/live")
	live.awaitLookAgain(t)
	s.lookAround(visitor, link, http.StatusOK)
	before := goroutines(t, visitor)

	db.stop()
	require.Equal(t, http.StatusOK, visitor.get("/healthz").status)
	require.Equal(t, http.StatusServiceUnavailable, visitor.get("/readyz").status)
	for range 10 { // something to leak
		s.lookAround(visitor, link, http.StatusServiceUnavailable)
	}
	typed := s.postWhileAway()

	db.start()
	require.Eventually(t, func() bool { return visitor.get("/readyz").status == http.StatusOK }, patient, 50*time.Millisecond)
	s.lookAround(visitor, link, http.StatusOK)
	live.awaitLookAgain(t)
	typed.sendAgain(t, s)
	live.await(t, `"kind":"note"`)
	require.Eventually(t, func() bool { return goroutines(t, visitor) <= before+5 }, patient, 50*time.Millisecond,
		"there were %d goroutines before", before)
	require.LessOrEqual(t, db.connections(t), 8+1, "of the pool, and the one that listens")
}

// namedDatabase is a Postgres of its own, always at the same address.
type namedDatabase struct {
	t      *testing.T
	dir    string
	url    string
	server *localdb.Server
}

func newNamedDatabase(t *testing.T) *namedDatabase {
	d := &namedDatabase{t: t, dir: t.TempDir()}
	d.url = "postgres:///scumble?" + url.Values{"host": {d.socket()}, "port": {"5432"}, "user": {"postgres"}, "sslmode": {"disable"}}.Encode()
	d.start()
	t.Cleanup(func() { require.NoError(t, d.server.Stop()) })
	return d
}

// socket is where the server is found, wherever it keeps its socket this time.
func (d *namedDatabase) socket() string { return filepath.Join(d.dir, "socket") }

func (d *namedDatabase) start() {
	var err error
	d.server, err = localdb.Start(context.Background(), localdb.Options{Dir: filepath.Join(d.dir, "data")})
	require.NoError(d.t, err)
	at, err := url.Parse(d.server.URL(localdb.Database))
	require.NoError(d.t, err)
	require.NoError(d.t, os.Symlink(at.Query().Get("host"), d.socket()))
}

func (d *namedDatabase) stop() {
	require.NoError(d.t, d.server.Stop())
	require.NoError(d.t, os.Remove(d.socket()))
}

// connections counts those of the program.
func (d *namedDatabase) connections(t *testing.T) (n int) {
	conn := storetest.Superuser(t, d.url)
	defer conn.Close(t.Context())
	require.NoError(t, conn.QueryRow(t.Context(), `SELECT count(*) FROM pg_stat_activity
		WHERE datname = current_database() AND pid <> pg_backend_pid() AND backend_type = 'client backend'`).Scan(&n))
	return n
}

// lookAround opens a page of each audience.
func (s *shop) lookAround(visitor *client, link string, want int) {
	s.t.Helper()
	for _, page := range []reply{
		s.owner.get("/office"), s.owner.get("/office/cars/" + s.car), s.owner.get("/office/people"), s.owner.get("/office/signin"),
		s.tablet.get("/bench"), s.tablet.get("/bench/pieces/" + s.pieces[0]), s.tablet.get("/bench/people"), visitor.get(link),
	} {
		require.Equal(s.t, want, page.status, page.words())
		if want == http.StatusServiceUnavailable {
			require.Contains(s.t, page.text(), "The database can't be reached just now.")
			require.Equal(s.t, "5", page.header.Get("Retry-After"))
			require.Contains(s.t, page.header.Get("Content-Type"), "text/html")
		}
	}
}

// typedWhileAway is what was sent and not kept while the database was away.
type typedWhileAway struct {
	note, car, entry string // addresses, and the body of a script
	noteForm         url.Values
	carForm          url.Values
}

// awkward has every sign that a form may garble on its way there and back.
const awkward = "<b>\"Two\" & 'three'</b>\r\nnext line; ümläut €"

// postWhileAway sends a form and an entry of the tablet and a form of the office:
// each comes back whole.
func (s *shop) postWhileAway() typedWhileAway {
	s.t.Helper()
	w := typedWhileAway{note: "/bench/pieces/" + s.pieces[0] + "/note", car: "/office/cars/new"}
	id := newEntry("note", nil)["id"].(string)
	got := s.tablet.post(w.note, url.Values{"id": {id}, "note": {awkward}})
	require.Equal(s.t, http.StatusServiceUnavailable, got.status, got.words())
	w.noteForm = hidden(s.t, got, w.note)
	require.Equal(s.t, url.Values{"id": {id}, "note": {awkward}}, w.noteForm)

	form := url.Values{"source": {"none"}, "name": {"1951 Brennick Six"}, "quality": {"show"}, "pair": {"oak"}, "words": {awkward}}
	got = s.owner.post(w.car, form)
	require.Equal(s.t, http.StatusServiceUnavailable, got.status, got.words())
	w.carForm = hidden(s.t, got, w.car)
	require.Equal(s.t, form, w.carForm)
	got = s.owner.upload(w.car, form, "piece,zone\n\"door capping\",left\n")
	require.Equal(s.t, http.StatusServiceUnavailable, got.status, got.words())
	require.Equal(s.t, "piece,zone\n\"door capping\",left\n", hidden(s.t, got, w.car).Get("list"), "the file comes back as text")

	w.entry = bodyOf(s.t, newEntry("note", entry{"piece": s.pieces[1], "note": "kept by the tablet"}))
	got = s.tablet.send("/bench/events", w.entry)
	require.Equal(s.t, http.StatusServiceUnavailable, got.status, got.body)
	require.Equal(s.t, "application/problem+json", got.header.Get("Content-Type"))
	return w
}

// sendAgain sends everything once more, as the pages that came back offer.
func (w typedWhileAway) sendAgain(t *testing.T, s *shop) {
	t.Helper()
	page := s.tablet.post(w.note, w.noteForm)
	require.Equal(t, http.StatusOK, page.status, page.words())
	require.Contains(t, page.text(), strings.SplitN(awkward, "\r", 2)[0])
	page = s.owner.post(w.car, w.carForm)
	require.Equal(t, http.StatusOK, page.status, page.words())
	require.Contains(t, page.text(), "1951 Brennick Six")
	got := s.tablet.send("/bench/events", w.entry)
	all, err := verdicts(got)
	require.NoError(t, err, got.body)
	require.Equal(t, "applied", all[0].Outcome)
}

// goroutines is how many the program has, by its own figures.
func goroutines(t *testing.T, c *client) int {
	t.Helper()
	n, err := strconv.Atoi(find(t, c.get("/metrics"), `(?m)^go_goroutines (\d+)`))
	require.NoError(t, err)
	return n
}

// stream is a live stream that is read until the test ends.
type stream chan string

// listen opens a live stream.
func (c *client) listen(path string) stream {
	c.t.Helper()
	r, err := http.NewRequestWithContext(c.t.Context(), http.MethodGet, c.base+path, nil)
	require.NoError(c.t, err)
	r.Header.Set("Accept", "text/event-stream")
	lasting := *c.http
	lasting.Timeout = 0
	answer, err := lasting.Do(r)
	require.NoError(c.t, err)
	require.Equal(c.t, http.StatusOK, answer.StatusCode)
	lines := make(stream, 1000)
	c.t.Cleanup(func() { _ = answer.Body.Close() })
	go func() {
		defer close(lines)
		for s := bufio.NewScanner(answer.Body); s.Scan(); {
			if data, ok := strings.CutPrefix(s.Text(), "data: "); ok {
				lines <- data
			}
		}
	}()
	return lines
}

// await reads on until something that fits the pattern is heard.
func (s stream) await(t *testing.T, pattern string) {
	t.Helper()
	late := time.After(patient)
	for {
		select {
		case line, open := <-s:
			require.True(t, open, "the stream has ended")
			require.True(t, json.Valid([]byte(line)), line)
			if regexp.MustCompile(pattern).MatchString(line) {
				return
			}
		case <-late:
			require.Fail(t, "not heard: "+pattern)
		}
	}
}

// awaitLookAgain waits for the word that changes may have been missed, and that none
// is from here on.
func (s stream) awaitLookAgain(t *testing.T) {
	t.Helper()
	s.await(t, `^\{"seq":0\}$`)
}
