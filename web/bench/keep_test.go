package bench

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
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

// together gets all that a tablet keeps of a piece, as its worker does.
func (b *browser) together(p toKeep) (pages map[string]string, got page) {
	b.t.Helper()
	got = b.get(strings.Replace(p.Path, "/bench", "/bench"+keptPath, 1) + "?" + url.Values{"act": p.Acts}.Encode())
	require.NoError(b.t, json.Unmarshal([]byte(got.body), &pages))
	return pages, got
}

var madeAnew = regexp.MustCompile(`[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[0-9a-f]{4}-[0-9a-f]{12}`)

// What comes together is what comes page by page, at every stage of a piece; what leads
// elsewhere is in neither.
func TestAPieceComesAtOnceAsItComesPageByPage(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.advance("Ash tray", s.ada, 2)
	s.advance("Instrument panel", s.ada, 4)
	s.advance("Glove-box door", s.ada, 6)
	s.advance("Windscreen moulding", s.ada, len(s.piece("Windscreen moulding").Steps))
	s.paint()
	b := s.signIn(s.ada)
	n := 0
	for _, p := range b.keepList().Pages {
		if !strings.HasPrefix(p.Path, "/bench/pieces/") {
			continue
		}
		pages, got := b.together(p)
		require.Equal(t, "application/json", got.header.Get("Content-Type"))
		require.Equal(t, strconv.FormatInt(s.ada.ID, 10), got.header.Get(personHeader))
		for _, act := range append([]string{""}, p.Acts...) {
			path, _, _ := strings.Cut(p.Path+act, "?")
			single := b.get(p.Path + act)
			if single.path != path {
				require.NotContains(t, pages, act, "it leads to %s", single.path)
				continue
			}
			require.Equal(t, madeAnew.ReplaceAllString(single.body, ""), madeAnew.ReplaceAllString(pages[act], ""), act)
			n++
		}
	}
	require.Greater(t, n, 50)
}

func TestAPieceAtOnceRefuses(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	require.Equal(t, http.StatusUnprocessableEntity, b.get(s.wholeOf("Ash tray")+"?act=/strike").status)
	require.Equal(t, http.StatusNotFound, b.get("/bench"+keptPath+"/pieces/"+newID()).status)
	s.enter(restoration.Event{Kind: restoration.KindRemove, PieceID: s.pieces["Ash tray"].ID, PersonID: s.owner.PersonID})
	require.GreaterOrEqual(t, b.get(s.wholeOf("Ash tray")).status, 400)
	require.Equal(t, "/bench/people", s.open(true).get(s.wholeOf("Glove-box door")).path, "nobody is signed in")
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

// tags gives the tag of each page that the tablet is told to keep.
func (b *browser) tags() map[string]string {
	b.t.Helper()
	found := map[string]string{}
	for _, p := range b.keepList().Pages {
		found[p.Path] = p.Tag
	}
	return found
}

// changed lists the pages of pieces whose tag is another, by the names of the pieces.
func (s *testShop) changed(was, is map[string]string) (names []string) {
	for name, p := range s.pieces {
		if path := piecePath(p.ID); was[path] != is[path] {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// Whatever a piece's pages show changes its tag, and that of no other piece; the lists' only
// where they show it.
func TestKeepTagChangesWithThePiece(t *testing.T) {
	t.Parallel()
	s := setup(t)
	materials := s.paint()
	s.addPlace("Drying rack", 0)
	for _, name := range []string{"Ash tray", "Glove-box door"} {
		s.advance(name, s.ada, 5) // cleared comes next
	}
	s.pass(48 * time.Hour)
	b, ben := s.signIn(s.ada), s.signIn(s.ben)
	id := s.pieces["Ash tray"].ID
	say := func(kind restoration.Kind, p restoration.Payload) func() {
		return func() {
			s.enter(restoration.Event{Kind: kind, PieceID: id, StepID: s.piece("Ash tray").Sum.NextStep, PersonID: s.ben.ID, DeviceID: s.device.ID, Payload: p})
		}
	}
	hours := restoration.Minutes(30)
	was := b.tags()
	require.Equal(t, was, b.tags())
	for _, c := range []struct {
		what   string
		do     func()
		listed bool // the lists show it
	}{
		{"a note", say(restoration.KindNote, restoration.Payload{Note: "reverse pitted"}), false},
		{"a move", say(restoration.KindMove, restoration.Payload{Place: "Drying rack"}), false},
		{"hours", say(restoration.KindLogTime, restoration.Payload{Hours: &hours}), true},
		{"a coat", func() { s.spray("Ash tray", materials[coating.Clear], 1, time.Hour) }, false},
		{"a photo", func() { ben.sendPhotos(true, photoFields(s, "Ash tray"), shot(t, 64, 48)) }, false},
		{"a hold", say(restoration.KindHold, restoration.Payload{Reason: "waits for a clip"}), true},
		{"the office's word", func() {
			p := s.piece("Ash tray")
			p.Note = "Look below."
			require.NoError(t, s.store.EditPiece(t.Context(), s.owner, id, p.Details, p.RouteID))
		}, false},
		{"a release", say(restoration.KindRelease, restoration.Payload{}), true},
		{"a start", func() { s.enter(startOf(s, "Ash tray", s.ada)) }, true},
	} {
		c.do()
		is := b.tags()
		require.Equal(t, []string{"Ash tray"}, s.changed(was, is), c.what)
		require.Equal(t, c.listed, was["/bench"] != is["/bench"], c.what)
		was = is
	}
}

// sprayedNext names the pieces whose next step is sprayed.
func (s *testShop) sprayedNext() (names []string) {
	s.t.Helper()
	shop, err := s.store.SprayKeys(s.t.Context())
	require.NoError(s.t, err)
	for _, k := range shop.Keys {
		names = append(names, k.Title)
	}
	slices.Sort(names)
	return names
}

// What many pages show changes their tags: all of them, or those that show it.
func TestKeepTagChangesWithTheShop(t *testing.T) {
	t.Parallel()
	s := setup(t)
	materials := s.paint()
	for _, name := range []string{"Ash tray", "Glove-box door"} {
		s.advance(name, s.ada, 4) // grained comes next
	}
	s.advance("Instrument panel", s.ada, 5)
	s.pass(48 * time.Hour)
	var every []string
	for name := range s.pieces {
		every = append(every, name)
	}
	slices.Sort(every)
	sprayed := s.sprayedNext()
	require.Contains(t, sprayed, "Instrument panel")
	require.NotContains(t, sprayed, "Door capping left")
	b := s.signIn(s.ada)
	was := b.tags()
	for _, c := range []struct {
		what    string
		do      func()
		changes []string
	}{
		{"a colleague's tin", func() { s.tin(materials[coating.Clear], 0, "4712") }, sprayed},
		{"a material", func() {
			m := materials[coating.Clear]
			m.Revision = "2026-02"
			_, err := s.store.SaveMaterial(t.Context(), s.owner, m)
			require.NoError(t, err)
		}, sprayed},
		{"a place", func() { s.addPlace("Booth wall", 0) }, every},
		{"another piece is grained", func() { s.advance("Ash tray", s.ben, 1) }, []string{"Ash tray", "Glove-box door"}},
		{"cautions read", func() {
			require.NoError(t, s.store.SeeCautions(t.Context(), restoration.Actor{PersonID: s.ada.ID, DeviceID: s.device.ID}, "Grained", time.Time{}))
		}, []string{"Glove-box door"}},
		{"somebody else's cautions", func() {
			require.NoError(t, s.store.SeeCautions(t.Context(), restoration.Actor{PersonID: s.ben.ID, DeviceID: s.device.ID}, "Grained", time.Time{}))
		}, nil},
		{"the settings", func() {
			own, err := s.store.Settings(t.Context())
			require.NoError(t, err)
			own.Units = restoration.US
			require.NoError(t, s.store.SaveSettings(t.Context(), s.owner, own))
		}, every},
	} {
		c.do()
		is := b.tags()
		require.Equal(t, c.changes, s.changed(was, is), c.what)
		was = is
	}
}

// What no list draws is kept as well, behind all that has work left.
func TestFinishedPiecesAreKeptLast(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.advance("Ash tray", s.ada, len(s.piece("Ash tray").Steps))
	require.Zero(t, s.piece("Ash tray").Sum.Left)
	list := s.signIn(s.ada).keepList()
	require.Equal(t, len(s.pieces), list.Pieces)
	last := list.Pages[len(list.Pages)-1]
	require.Equal(t, piecePath(s.pieces["Ash tray"].ID), last.Path)
	require.Equal(t, []string{"/note", "/back", "/back?defect=other", "/measure", photosPath, "/move", "/hold"}, last.Acts)
	b := s.signIn(s.ada)
	for _, act := range append([]string{""}, last.Acts...) {
		path, _, _ := strings.Cut(last.Path+act, "?")
		require.Equal(t, path, b.get(last.Path+act).path, "it leads nowhere else")
	}
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
	done := []restoration.WorkKey{{Car: late, PieceID: restoration.ID{1, 2}, Name: "done late"}, {Car: early, PieceID: restoration.ID{2, 2}, Name: "done early"}}
	o := piecesToKeep(listInput{Keys: keys, Person: 7, Now: now}, done)
	require.Len(t, o.soon, keptFirst+4)
	got := names(o.soon)
	require.Equal(t, []string{"in hand 00", "in hand 01", "ready 00"}, got[:3])
	require.Equal(t, []string{"ready 39", "waiting 00", "waiting 01"}, got[len(got)-3:])
	require.Equal(t, []string{"held 00", "held 01", "with others 00", "ready 40", "ready 41", "ready 42"}, names(o.later))
	require.Equal(t, []string{"done early", "done late"}, names(o.finished))

	tags := pieceTags{now: now, cars: map[int64]string{}}
	p := pagesOfPieces(o, tags)
	require.Equal(t, len(keys)+2, p.n)
	require.Len(t, p.soon, len(o.soon))
	require.Len(t, p.later, len(o.later)+2)
	require.Contains(t, p.soon[len(p.soon)-1].Acts, "/early", "it waits")
	require.NotContains(t, p.later[0].Acts, "/early")
	unfinished := o
	unfinished.finished = nil
	require.Equal(t, p.whole, pagesOfPieces(unfinished, tags).whole, "no list shows what is finished")
	o.later = times(o.later[0], keptPieces)
	p = pagesOfPieces(o, tags)
	require.Equal(t, keptPieces, len(p.soon)+len(p.later), "no tablet is told of more")
	require.Len(t, o.told(), keptPieces)
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

// wholeOf is where the worker fetches all pages of a piece.
func (s *testShop) wholeOf(name string) string {
	return strings.Replace(piecePath(s.pieces[name].ID), "/bench", "/bench"+keptPath, 1)
}

func isWhole(path string) bool { return strings.HasPrefix(path, "/bench"+keptPath+"/pieces/") }

// A worker fetches again what has changed, and nothing else of pieces.
func TestOnlyWhatChangedIsFetchedAgain(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	n := hurried(s)
	b.signIn(s.ada.Name)
	b.keeps()
	b.says("[data-pieces-kept]", "5 of 5 pieces on this tablet")
	mine, other := s.wholeOf("Ash tray"), s.wholeOf("Glove-box door")
	first := n.since()
	require.Equal(t, 1, first[mine])
	require.Equal(t, 1, first[other])
	s.enter(startOf(s, "Ash tray", s.ben))
	b.Go("/bench")
	b.keeps()
	again := n.since()
	require.Equal(t, 1, again[mine])
	require.Equal(t, 1, again["/bench"], "the list shows it too")
	require.Zero(t, again[other])
	require.Zero(t, again["/bench/find"])
}

// A colleague's note from another tablet changes no step: its piece is fetched again, no
// other and no list, and without network the copy tells of it.
func TestAColleaguesNoteIsFetchedAgain(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	n := hurried(s)
	b.signIn(s.ada.Name)
	b.keeps()
	n.since()
	ben := s.signIn(s.ben)
	ben.send("/bench/events", batch(t, entryOf(s, "Ash tray", "note", map[string]any{"note": "Lug is cracked"})))
	require.Equal(t, []string{"Lug is cracked"}, s.notes("Ash tray"))
	b.Go("/bench")
	b.keeps()
	require.Equal(t, map[string]int{"/bench/keep": 1, s.wholeOf("Ash tray"): 1}, n.since())
	n.away.Store(true)
	b.Go(piecePath(s.pieces["Ash tray"].ID))
	b.tells(".asof", "No network: as of ")
	b.tells("main", "Lug is cracked")
}

// A finished piece opens without network, with what may still be said of it.
func TestAFinishedPieceWithoutNetwork(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	s.advance("Ash tray", s.ada, len(s.piece("Ash tray").Steps))
	n := hurried(s)
	b.signIn(s.ada.Name)
	b.keeps()
	b.says("[data-pieces-kept]", "5 of 5 pieces on this tablet")
	n.away.Store(true)
	path := piecePath(s.pieces["Ash tray"].ID)
	b.Go("/bench/find?code=" + s.pieces["Ash tray"].Label)
	b.At(path)
	b.tells("main", "Nothing is left to do on this piece.")
	b.Shot("finished-copy-820")
	require.Equal(t, "0", b.Eval(`String(document.querySelectorAll('.acts a[href$="/time"], .acts a[href$="/skip"]').length)`))
	b.note("Ash tray", "A scratch at the rim")
	b.At(path)
	b.tells("[data-unsent]", "Note, A scratch at the rim")
	n.away.Store(false)
	b.online()
	b.says("[data-saved]", "all saved")
	require.Equal(t, []string{"A scratch at the rim"}, s.notes("Ash tray"))
}

// What was fetched before the network went is not fetched again when it is back.
func TestKeepingGoesOnWhereItStopped(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	n := hurried(s)
	n.worker["ABREAST=3"] = "ABREAST=2"
	var asked []string
	n.hook = func(path string) {
		if !isWhole(path) {
			return
		}
		asked = append(asked, path)
		if len(asked) == 3 {
			n.away.Store(true)
		}
	}
	b.signIn(s.ada.Name)
	b.Await(`document.body.dataset.kept === "1"`)
	b.tells("[data-pieces-kept]", " of 5 pieces on this tablet")
	b.Go("/bench/hours")
	b.Await(`/^[2-4] of 5 pieces on this tablet, not all fetched yet\.$/.test(document.querySelector("[data-kept-pieces]:not([hidden])")?.textContent)`)
	n.mu.Lock()
	n.hook = nil
	n.mu.Unlock()
	n.since()
	n.away.Store(false)
	b.Go("/bench")
	b.keeps()
	b.says("[data-pieces-kept]", "5 of 5 pieces on this tablet")
	after := n.since()
	require.Equal(t, 1, after[asked[2]], "it had not come")
	for _, path := range asked[:2] {
		require.Zero(t, after[path], "it had come")
	}
}

// Three answers come at a time and never more, those of a piece all at once: the first three
// are held until all of them are asked for.
func TestThreeAnswersComeAtATime(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	s.newCar("1937 Brennick Ten", "Capping 1", "Capping 2", "Capping 3", "Capping 4")
	n := hurried(s)
	var mu sync.Mutex
	asked, most := 0, 0 // now, and at once so far
	three := make(chan struct{})
	s.between(func(w http.ResponseWriter, r *http.Request, inner http.Handler) {
		if !quietly(r) || r.URL.Path == "/bench"+keptPath {
			inner.ServeHTTP(w, r)
			return
		}
		mu.Lock()
		asked++
		if most = max(most, asked); asked == 3 && most == 3 {
			select {
			case <-three:
			default:
				close(three)
			}
		}
		mu.Unlock()
		select {
		case <-three:
		case <-r.Context().Done():
		}
		inner.ServeHTTP(w, r)
		mu.Lock()
		asked--
		mu.Unlock()
	})
	b.signIn(s.ada.Name)
	b.keeps()
	b.says("[data-pieces-kept]", "9 of 9 pieces on this tablet")
	require.Equal(t, 3, most)
	got := n.since()
	for name := range s.pieces {
		require.Equal(t, 1, got[s.wholeOf(name)], name)
		require.Zero(t, got[piecePath(s.pieces[name].ID)], name)
	}
}

// Before anything has come, list and page away say so.
func TestATabletThatKeepsNothingSaysSo(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	n := hurried(s)
	n.hook = func(string) { n.away.Store(true) }
	b.signIn(s.ada.Name)
	b.says("[data-pieces-kept]", "No piece is on this tablet yet")
	b.Go("/bench/hours")
	b.says("[data-kept-pieces]:not([hidden])", "No piece is on this tablet yet.")
}

// A round ends by the clock, and the page asks for the next until all is kept.
func TestKeepingGoesInRounds(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	n := hurried(s)
	n.worker["ROUND=2e4"] = "ROUND=20"
	b.signIn(s.ada.Name)
	b.keeps()
	b.says("[data-pieces-kept]", "5 of 5 pieces on this tablet")
	asked := n.since()
	require.Greater(t, asked["/bench/keep"], 1)
	require.Equal(t, 1, asked[s.wholeOf("Ash tray")])
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
		if isWhole(path) {
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
		require.False(t, isWhole(path), "what has no room is not fetched time and again: %s", path)
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
		pagesOfPieces(piecesToKeep(in, nil), pieceTags{now: now, cars: map[int64]string{}})
	}
}
