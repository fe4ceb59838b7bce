package bench

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func (b *browser) keepList() (list keepList) {
	b.t.Helper()
	require.NoError(b.t, json.Unmarshal([]byte(b.get("/bench/keep").body), &list))
	return list
}

// Shell and the pages of forty pieces take no more than 3 MB of the tablet.
func TestWhatATabletKeepsIsSmall(t *testing.T) {
	t.Parallel()
	const forty = 40
	s := setup(t)
	var names []string
	for i := range forty - len(s.pieces) {
		names = append(names, "Capping "+strconv.Itoa(i))
	}
	s.newCar("1937 Brennick Ten", names...)
	b := s.signIn(s.ada)
	total, pieces := 0, 0
	for _, address := range append(shell(), awayPath) {
		total += len(b.get(address).body)
	}
	shellBytes := total
	for _, p := range b.keepList().Pages {
		if strings.HasPrefix(p.Path, "/bench/pieces/") {
			pieces++
			require.Len(t, p.Acts, len(keptActs)-1, "nothing waits, so that nothing can be started early")
		}
		for _, act := range append([]string{""}, p.Acts...) {
			path, _, _ := strings.Cut(p.Path+act, "?")
			if got := b.get(p.Path + act); got.path == path {
				total += packed(t, got.body)
			}
		}
	}
	require.Equal(t, forty, pieces)
	t.Logf("%d bytes, %d of them the shell", total, shellBytes)
	require.Less(t, total, 3<<20)
}

func TestKeepTellsNothingThatIsToldOnce(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	b.send("/bench/events?say=1", batch(t, entryOf(s, "Ash tray", "note", map[string]any{"note": "n"})))
	quiet, err := http.NewRequestWithContext(t.Context(), http.MethodGet, s.server.URL+"/bench", nil)
	require.NoError(t, err)
	quiet.Header.Set(keepHeader, "1")
	res, err := b.client.Do(quiet)
	require.NoError(t, err)
	kept := b.read(res)
	require.NotContains(t, kept.body, "notice-done")
	require.Equal(t, strconv.FormatInt(s.ada.ID, 10), kept.header.Get(personHeader))
	require.Contains(t, b.get("/bench").body, "notice-done")
}

func TestKeepTagChangesWithThePiece(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	tags := func() map[string]string {
		found := map[string]string{}
		for _, p := range b.keepList().Pages {
			found[p.Path] = p.Tag
		}
		return found
	}
	before := tags()
	require.Equal(t, before, tags())
	s.enter(startOf(s, "Ash tray", s.ada))
	after := tags()
	mine, other := piecePath(s.pieces["Ash tray"].ID), piecePath(s.pieces["Glove-box door"].ID)
	require.NotEqual(t, before[mine], after[mine])
	require.NotEqual(t, before["/bench"], after["/bench"])
	require.Equal(t, before[other], after[other])
}

// What is in hand, next and waiting comes first; then every other piece, car by car; and
// each once.
func TestPiecesToKeep(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 23, 9, 0, 0, 0, time.UTC)
	car := func(id int64, promised int) *restoration.Car {
		return &restoration.Car{ID: id, WorkOrder: fmt.Sprintf("26-%03d", id), State: restoration.CarInWork, PromisedOn: now.AddDate(0, 0, promised)}
	}
	early, late := car(2, 5), car(1, 9)
	var keys []restoration.WorkKey
	add := func(c *restoration.Car, name string, n int, change func(*restoration.WorkKey)) {
		for i := range n {
			k := restoration.WorkKey{Car: c, PieceID: restoration.ID{byte(len(keys)), 1}, Name: fmt.Sprintf("%s %02d", name, i), Left: 60}
			if change != nil {
				change(&k)
			}
			keys = append(keys, k)
		}
	}
	add(late, "ready", keptFirst+3, nil)
	add(early, "held", 2, func(k *restoration.WorkKey) { k.HeldSince = now })
	add(early, "waiting", 2, func(k *restoration.WorkKey) { k.GateFrom = now.Add(time.Hour) })
	add(early, "with others", 1, func(k *restoration.WorkKey) { k.HandBy = 8 })
	add(late, "in hand", 2, func(k *restoration.WorkKey) { k.HandBy = 7 })
	names := func(items []restoration.ListItem) (list []string) {
		for _, i := range items {
			list = append(list, i.Name)
		}
		return list
	}
	soon, later := piecesToKeep(listInput{Keys: keys, Person: 7, Now: now})
	require.Len(t, soon, keptFirst+4)
	got := names(soon)
	require.Equal(t, []string{"in hand 00", "in hand 01", "ready 00"}, got[:3])
	require.Equal(t, []string{"ready 39", "waiting 00", "waiting 01"}, got[len(got)-3:])
	require.Equal(t, []string{"held 00", "held 01", "with others 00", "ready 40", "ready 41", "ready 42"}, names(later))

	_, first, rest := pagesOfPieces(now, nil, soon, later)
	require.Len(t, first, len(soon))
	require.Len(t, rest, len(later))
	require.Contains(t, first[len(first)-1].Acts, "/early", "it waits")
	require.NotContains(t, rest[0].Acts, "/early")
	_, first, rest = pagesOfPieces(now, nil, soon, times(later[0], keptPieces))
	require.Equal(t, keptPieces, len(first)+len(rest), "no tablet is told of more")
}

func times(item restoration.ListItem, n int) (list []restoration.ListItem) {
	for range n {
		list = append(list, item)
	}
	return list
}

// hurried is a network whose worker looks for changes as often as a page asks.
func hurried(s *testShop) *network {
	n := newNetwork(s)
	n.worker["REST=6e4"] = "REST=-1"
	return n
}

// A worker fetches again what has changed, and nothing else of pieces.
func TestOnlyWhatChangedIsFetchedAgain(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	n := hurried(s)
	b.signIn(s.ada.Name)
	b.keeps()
	b.says("[data-pieces-kept]", "5 of 5 pieces on this tablet")
	mine, other := piecePath(s.pieces["Ash tray"].ID), piecePath(s.pieces["Glove-box door"].ID)
	first := n.since()
	require.Equal(t, 1, first[mine])
	require.Equal(t, 1, first[other+"/note"])
	s.enter(startOf(s, "Ash tray", s.ben))
	b.Go("/bench")
	b.keeps()
	again := n.since()
	require.Equal(t, 1, again[mine])
	require.Equal(t, 1, again[mine+"/note"])
	require.Equal(t, 1, again["/bench"], "the list shows it too")
	require.Zero(t, again[other])
	require.Zero(t, again["/bench/find"])
}

// What was fetched before the network went is not fetched again when it is back.
func TestKeepingGoesOnWhereItStopped(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	n := hurried(s)
	third := make(chan string, 1)
	n.hook = func(path string) {
		if strings.HasPrefix(path, "/bench/pieces/") && strings.HasSuffix(path, "/measure") && len(n.asked) > 3*len(keptActs) {
			n.away.Store(true)
			select {
			case third <- path:
			default:
			}
		}
	}
	b.signIn(s.ada.Name)
	stopped := strings.TrimSuffix(<-third, "/measure")
	b.Await(`document.body.dataset.kept === "1"`)
	b.tells("[data-pieces-kept]", " of 5 pieces on this tablet")
	n.mu.Lock()
	n.hook = nil
	n.mu.Unlock()
	before := n.since()
	n.away.Store(false)
	b.Go("/bench")
	b.keeps()
	b.says("[data-pieces-kept]", "5 of 5 pieces on this tablet")
	after := n.since()
	require.Equal(t, 1, after[stopped], "it had not come whole")
	for path := range before {
		if piece, ok := strings.CutSuffix(path, "/grade"); ok { // the last of its pages
			require.Zero(t, after[piece], "it had come whole")
		}
	}
}

// A round ends by the clock, and the page asks for the next until all is kept.
func TestKeepingGoesInRounds(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	n := hurried(s)
	n.worker["ROUND=2e4"] = "ROUND=100"
	b.signIn(s.ada.Name)
	b.keeps()
	b.says("[data-pieces-kept]", "5 of 5 pieces on this tablet")
	asked := n.since()
	require.Greater(t, asked["/bench/keep"], 1)
	require.Equal(t, 1, asked[piecePath(s.pieces["Ash tray"].ID)])
}

// Who goes from page to page does not stop the rounds: the page that is open when one ends
// asks for the next.
func TestKeepingGoesOnFromPageToPage(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	n := hurried(s)
	n.worker["ROUND=2e4"] = "ROUND=100"
	begun, goOn := make(chan struct{}), make(chan struct{})
	var once sync.Once
	n.hook = func(path string) {
		if strings.HasSuffix(path, "/measure") {
			once.Do(func() { close(begun); <-goOn })
		}
	}
	b.signIn(s.ada.Name)
	<-begun
	b.Go("/bench/hand")
	b.awaitOutbox()
	b.Await(`(navigator.serviceWorker.ready.then(r => window.asked = r.active), window.asked)`)
	close(goOn)
	b.says("[data-pieces-kept]", "5 of 5 pieces on this tablet")
}

// A tablet keeps what it has room for, what is needed first in front, and says how much.
func TestKeepingStopsAtItsBytes(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	n := hurried(s)
	n.worker["MOST=3e7"], n.worker["LEAST=3e6"], n.worker["PIECE=1e5"] = "MOST=15e4", "LEAST=0", "PIECE=5e4"
	s.enter(startOf(s, "Glove-box door", s.ada))
	b.signIn(s.ada.Name)
	b.keeps()
	b.Await(`/^[12] of 5 pieces on this tablet$/.test(document.querySelector("[data-pieces-kept]").textContent)`)
	b.Await(`(caches.open("scumble-pages").then(c => c.match("` + piecePath(s.pieces["Glove-box door"].ID) + `")).then(p => window.mine = p), window.mine)`) // it is in hand
	n.since()
	b.Go("/bench")
	b.keeps()
	for path := range n.since() {
		require.False(t, strings.HasPrefix(path, "/bench/pieces/"), "what has no room is not fetched time and again: %s", path)
	}
}

func BenchmarkPagesOfPieces(b *testing.B) {
	now := time.Date(2026, 3, 23, 9, 0, 0, 0, time.UTC)
	var keys []restoration.WorkKey
	for i := range 12_000 {
		car := &restoration.Car{ID: int64(i / 60), WorkOrder: fmt.Sprintf("26-%03d", i/60), State: restoration.CarInWork}
		keys = append(keys, restoration.WorkKey{Car: car, PieceID: restoration.ID{byte(i), byte(i >> 8)}, Name: "Door capping", Left: 60})
	}
	in := listInput{Keys: keys, Person: 7, Now: now}
	b.ReportAllocs()
	for b.Loop() {
		soon, later := piecesToKeep(in)
		pagesOfPieces(now, nil, soon, later)
	}
}
