package bench

import (
	"encoding/json"
	"net/http"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"scumble/internal/browsertest"
	"scumble/internal/restoration"
)

// moment is how often a test asks the shop whether something has come.
const moment = 50 * time.Millisecond

// notes are the notes on a piece as the ledger has them, the oldest first.
func (s *testShop) notes(piece string) (list []string) {
	s.t.Helper()
	entries, err := s.store.History(s.t.Context(), restoration.HistoryFilter{PieceID: s.pieces[piece].ID, Limit: 10000})
	require.NoError(s.t, err)
	for _, e := range entries {
		if e.Event.Kind == restoration.KindNote {
			list = append([]string{e.Event.Note}, list...)
		}
	}
	return list
}

// note writes a note, presses Save, and waits for what follows: the piece, or word that
// the note waits on the tablet.
func (b *tab) note(piece, text string) {
	path := piecePath(b.shop.pieces[piece].ID) + "/note"
	b.Go(path)
	b.Do(chromedp.SendKeys(chromedp.CSS("#note"), text))
	b.tap(".actionbar .button-main")
	b.Await(`document.readyState === "complete" && (location.pathname !== "` + path + `" || !document.querySelector("form [data-refusal]").hidden)`)
}

func TestOutboxSendsUnderWhoMadeIt(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	line := newLine(t, s)
	b.signIn(s.ada.Name)
	line.cut.Store(true)
	b.note("Ash tray", "of Ada")
	b.says("[data-saved]", "1 waiting to be sent")
	signOut(b)
	b.signIn(s.ben.Name)
	b.says("[data-saved]", "1 waiting to be sent")
	b.note("Ash tray", "of Ben")
	b.says("[data-saved]", "2 waiting to be sent")
	line.cut.Store(false)
	b.Run(`dispatchEvent(new Event("online"))`)
	b.says("[data-saved]", "all saved")
	require.Equal(t, []string{"of Ada", "of Ben"}, s.notes("Ash tray"), "in order")
	entries, err := s.store.History(t.Context(), restoration.HistoryFilter{PieceID: s.pieces["Ash tray"].ID})
	require.NoError(t, err)
	require.Equal(t, s.ben.ID, entries[0].Event.PersonID)
	require.Equal(t, s.ada.ID, entries[1].Event.PersonID)
	require.WithinDuration(t, s.clock(), entries[1].Event.At, time.Minute, "the shop's hour, months before the tablet's")
	require.WithinDuration(t, time.Now(), entries[1].Event.Clock, time.Minute, "the tablet's")
}

// The next person may sign in before the page of the last entry came to keep its pass.
func TestOutboxKeepsThePassWithTheEntry(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	line := newLine(t, s)
	b.signIn(s.ada.Name)
	b.Go("/bench")
	b.awaitOutbox()
	b.Await(`(idb.openDB("scumble").then((db) => db.count("passes")).then((n) => window.passes = n), window.passes)`)
	line.cut.Store(true)
	entry, err := json.Marshal(entryOf(s, "Ash tray", "note", map[string]any{"note": "of Ada"}))
	require.NoError(t, err)
	b.Run(`idb.openDB("scumble").then((db) => db.clear("passes")).then(() => scumble.outbox.add([{ ...scumble.signed(), event: ` + string(entry) + ` }])).then(() => window.added = true)`)
	b.Await(`window.added`)
	b.Go("/bench/people")
	b.identify(s.ben.Name)
	line.cut.Store(false)
	b.note("Ash tray", "of Ben")
	b.says("[data-saved]", "all saved")
	require.Equal(t, []string{"of Ada", "of Ben"}, s.notes("Ash tray"))
}

// line stands before the shop's server and can refuse its intake.
type line struct {
	cut   atomic.Bool
	posts atomic.Int32
}

func newLine(t *testing.T, s *testShop) *line {
	t.Helper()
	l := &line{}
	s.between(func(w http.ResponseWriter, r *http.Request, inner http.Handler) {
		if r.URL.Path != "/bench"+eventsPath {
			inner.ServeHTTP(w, r)
			return
		}
		if l.cut.Load() {
			panic(http.ErrAbortHandler)
		}
		l.posts.Add(1)
		inner.ServeHTTP(w, r)
	})
	return l
}

func signOut(b *tab) {
	b.Go("/bench")
	b.tapTo(`.benchhead form .button`, "/bench/people")
}

func TestOutboxTakesOverWhatAnEarlierVersionKept(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	var old []map[string]any
	for _, text := range []string{"first", "second"} {
		old = append(old, map[string]any{"person": strconv.FormatInt(s.ada.ID, 10), "event": entryOf(s, "Ash tray", "note", map[string]any{"note": text})})
	}
	text, err := json.Marshal(old)
	require.NoError(t, err)
	b.Run(`localStorage.setItem("scumble.unsent", ` + "JSON.stringify(" + string(text) + `))`)
	b.Go("/bench/hand")
	b.Await(`localStorage.getItem("scumble.unsent") === null`)
	b.says("[data-saved]", "all saved")
	require.Eventually(t, func() bool { return len(s.notes("Ash tray")) == 2 }, browsertest.Patience, moment)
	require.Equal(t, []string{"first", "second"}, s.notes("Ash tray"))
}

// earlier makes the tablet's stores as the first outbox and the first photos left them: a
// note and a photo that wait, a photo that was refused.
const earlier = `(async () => {
	await new Promise((done) => (indexedDB.deleteDatabase("scumble").onsuccess = done));
	const open = (name, upgrade) => new Promise((done) => {
		const ask = indexedDB.open(name, 1);
		ask.onupgradeneeded = () => upgrade(ask.result);
		ask.onsuccess = () => done(ask.result);
	});
	const put = (db, store, ...rows) => new Promise((done) => {
		const tx = db.transaction(store, "readwrite");
		for (const row of rows) tx.objectStore(store).add(row);
		tx.oncomplete = () => done(db.close());
	});
	await put(await open("scumble", (db) => {
		const entries = db.createObjectStore("entries", { keyPath: "seq", autoIncrement: true });
		entries.createIndex("id", "id", { unique: true });
		entries.createIndex("turn", ["state", "seq"]);
		entries.createIndex("piece", ["state", "piece"]);
		entries.createIndex("person", ["state", "person"]);
		db.createObjectStore("passes");
	}), "entries", { v: 1, state: "waiting", id: note.id, person, name: "", piece: note.piece, made: Date.now(), event: note });
	const canvas = document.createElement("canvas");
	canvas.getContext("2d").fillRect(0, 0, 100, 100);
	const file = await new Promise((done) => canvas.toBlob(done, "image/jpeg"));
	const fields = { piece: note.piece, stage: "", note: "of before", at: note.at };
	await put(await open("scumble-photos", (db) => db.createObjectStore("unsent", { keyPath: "id" })), "unsent",
		{ id: photos[0], person, fields, file }, { id: photos[1], person, fields, file, refused: "It is no photo." });
	window.made = true;
})()`

func TestOutboxTakesOverEarlierStores(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	b.Go("/bench/app.webmanifest") // of the same tablet, without the outbox
	given, err := json.Marshal(map[string]any{"person": strconv.FormatInt(s.ada.ID, 10), "photos": []string{newID(), newID()},
		"note": entryOf(s, "Ash tray", "note", map[string]any{"note": "of before"})})
	require.NoError(t, err)
	b.Run(`Object.assign(window, ` + string(given) + `); ` + earlier)
	b.Await(`window.made`)
	b.Go("/bench/nottaken")
	b.says("[data-saved]", "all sent")
	b.says("[data-not-taken]", "1 not taken")
	b.tells("[data-held-refused] [data-reason]", "It is no photo.")
	b.Await(`document.querySelector("[data-held-refused] img").naturalWidth > 0`)
	require.Equal(t, []string{"of before"}, s.notes("Ash tray"))
	list := s.photos("Ash tray")
	require.Len(t, list, 1)
	require.Equal(t, "of before", list[0].Note)
	b.Go("/bench")
	b.says("[data-not-taken]", "1 not taken")
	b.says("[data-saved]", "all sent")
}

func TestOutboxTwoTabsSendOnce(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	l := newLine(t, s)
	b.signIn(s.ada.Name)
	l.cut.Store(true)
	b.note("Ash tray", "once")
	b.says("[data-saved]", "1 waiting to be sent")
	second := b.Beside()
	second.Go("/bench")
	second.Await(`document.querySelector("[data-saved]").textContent === "1 waiting to be sent"`)
	l.cut.Store(false)
	var both sync.WaitGroup
	for _, wake := range []func(string){b.Run, second.Run} {
		both.Go(func() { wake(`dispatchEvent(new Event("online"))`) })
	}
	both.Wait()
	b.says("[data-saved]", "all saved")
	second.Await(`document.querySelector("[data-saved]").textContent === "all saved"`)
	require.Equal(t, []string{"once"}, s.notes("Ash tray"))
	require.EqualValues(t, 1, l.posts.Load(), "one page sends")
}

func TestOutboxNotTaken(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	l := newLine(t, s)
	b.signIn(s.ada.Name)
	b.keeps()
	b.Go("/bench") // from here on by the worker
	l.cut.Store(true)
	path := piecePath(s.pieces["Ash tray"].ID)
	b.Go(path)
	b.understand()
	b.openSheet()
	b.press("#tick .save")
	b.At("/bench")
	b.says("[data-saved]", "1 waiting to be sent")
	b.Go(path + "?look=1")
	b.says("[data-unsent] b", "Not sent yet")
	require.Equal(t, "0", b.Eval(`String(document.querySelector(".actionbar .button-main").offsetHeight)`), "Done is not offered again")
	s.enter(holdOf(s, "Ash tray", s.ben, "Waits for the owner"))
	l.cut.Store(false)
	b.Run(`dispatchEvent(new Event("online"))`)
	b.tells("[data-unsent]", "Not taken: Done")
	b.Go("/bench")
	b.says("[data-not-taken]", "1 not taken")
	b.Shot("nottaken-link-820")
	b.tapTo("[data-not-taken]", "/bench/nottaken")
	b.tells("[data-reason]", "on hold")
	b.Shot("nottaken-820")

	b.tells("[data-says]", "Ash tray: Done")
	b.tells("[data-about]", s.car.WorkOrder+" · ")
	b.tap(`[data-held-do="again"]`)
	b.tells("[data-held-refused] [data-reason]", ": still refused. ")
	b.Shot("nottaken-again-820")

	s.enter(restoration.Event{Kind: restoration.KindRelease, PieceID: s.pieces["Ash tray"].ID, PersonID: s.ben.ID, DeviceID: s.device.ID})
	b.tap(`[data-held-do="again"]`)
	b.Await(`!document.querySelector("[data-held-refused] li")`)
	require.Eventually(t, func() bool { return s.piece("Ash tray").Steps[0].State == restoration.StepDone }, browsertest.Patience, moment)
}

func TestOutboxChangeAndLetGo(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	long := ""
	for len(long) <= restoration.MaxNote {
		long += "much to be said "
	}
	for range 2 {
		b.Go(piecePath(s.pieces["Ash tray"].ID) + "/note")
		b.Run(`document.querySelector("#note").removeAttribute("maxlength")`)
		b.Fill("#note", long)
		b.tap(".actionbar .button-main")
		b.tells("[data-refusal]", "Shorten it")
	}
	b.Go("/bench/nottaken")
	b.Await(`document.querySelectorAll("[data-held-refused] li").length === 2`)
	b.tapTo(`[data-held-do="change"]`, piecePath(s.pieces["Ash tray"].ID)+"/note")
	b.Await(`document.querySelector("#note").value.startsWith("much to be said")`)
	b.tells("[data-refusal]", "Not taken: The note is longer")
	b.Fill("#note", "short")
	b.tap(".actionbar .button-main")
	b.At(piecePath(s.pieces["Ash tray"].ID))
	b.Go("/bench/nottaken")
	b.Await(`document.querySelectorAll("[data-held-refused] li").length === 1`)
	b.press(`[data-held-do="letgo"]`)
	b.tells("[data-sure]", "on Ash tray? It is not entered then. Touch again.")
	b.Shot("letgo-820")
	b.press(`[data-held-do="letgo"]`)
	b.Await(`!document.querySelector("[data-held-refused] li")`)
	rows, err := s.store.Audit(t.Context(), restoration.AuditFilter{Acts: []restoration.Act{restoration.ActLetGo}})
	require.NoError(t, err)
	require.Len(t, rows, 1)
}

// An entry that is made before the outbox has come waits for it.
func TestOutboxComesAfterAnEntry(t *testing.T) {
	t.Parallel()
	s := setup(t)
	come := make(chan struct{})
	s.scripts(func(w http.ResponseWriter, r *http.Request, inner http.Handler) {
		<-come
		inner.ServeHTTP(w, r)
	})
	b := newTab(t, s)
	b.Go("/bench/enrol")
	b.enrol()
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID)
	b.Go(path + "/note")
	b.Fill("#note", "early")
	b.tap(".actionbar .button-main")
	require.Equal(t, "undefined", b.Eval(`typeof scumble.outbox`))
	close(come)
	b.At(path)
	b.says("[data-saved]", "all saved")
	require.Equal(t, []string{"early"}, s.notes("Ash tray"))
}

// Where the outbox doesn't come at all, an entry is sent as it is made, or said to be unsaved.
func TestWithoutTheOutboxEntriesGoStraight(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.scripts(func(w http.ResponseWriter, _ *http.Request, _ http.Handler) {
		http.Error(w, "gone", http.StatusBadGateway)
	})
	l := newLine(t, s)
	b := newTab(t, s)
	b.Go("/bench/enrol")
	b.enrol()
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID)
	b.Go(path + "/note")
	b.Fill("#note", "straight")
	l.cut.Store(true)
	b.tap(".actionbar .button-main")
	b.tells("[data-refusal]", "Not saved")
	require.Equal(t, "straight", b.Eval(`document.querySelector("#note").value`))
	l.cut.Store(false)
	b.tap(".actionbar .button-main")
	b.At(path)
	require.Equal(t, []string{"straight"}, s.notes("Ash tray"))
}

// scripts has serve answer for the outbox's script.
func (s *testShop) scripts(serve func(w http.ResponseWriter, r *http.Request, inner http.Handler)) {
	s.between(func(w http.ResponseWriter, r *http.Request, inner http.Handler) {
		if r.URL.Path == "/static/js/outbox.js" {
			serve(w, r, inner)
			return
		}
		inner.ServeHTTP(w, r)
	})
}

func TestOutboxWithoutRoom(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	l := newLine(t, s)
	b.signIn(s.ada.Name)
	b.Go(piecePath(s.pieces["Ash tray"].ID) + "/note")
	b.Run(`IDBObjectStore.prototype.add = () => { throw new DOMException("full", "QuotaExceededError") }`)
	b.Fill("#note", "full")
	l.cut.Store(true)
	b.tap(".actionbar .button-main")
	b.tells("[data-refusal]", "no room left")
	require.Equal(t, "full", b.Eval(`document.querySelector("#note").value`), "what was typed stands")
	l.cut.Store(false)
	b.tap(".actionbar .button-main")
	b.At(piecePath(s.pieces["Ash tray"].ID))
	require.Equal(t, []string{"full"}, s.notes("Ash tray"))
}

// Ten thousand entries are listed by fifty and counted.
func TestOutboxStaysUsableWhenItIsLong(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	l := newLine(t, s)
	b.signIn(s.ada.Name)
	l.cut.Store(true)
	b.Go("/bench/nottaken")
	b.awaitOutbox()
	for at := 0; at < 10_000; at += 1000 {
		b.Run(`(async (at) => {
			const list = [];
			for (let i = at; i < at + 1000; i++) list.push({person: document.body.dataset.person, name: "Ada", made: Date.now(), event: {
				id: scumble.uuid7(), kind: "note", piece: "` + s.pieces["Ash tray"].ID.String() + `", note: "n" + i, at: new Date().toISOString()}});
			await scumble.outbox.add(list);
			window.added = at;
		})(` + strconv.Itoa(at) + `)`)
		b.Await(`window.added === ` + strconv.Itoa(at))
	}
	b.says("[data-saved]", "10000 waiting to be sent")
	b.says("[data-held-count]", "and 9950 more")
	require.Equal(t, "50", b.Eval(`String(document.querySelectorAll("[data-held-waiting] li").length)`))
	b.Go("/bench")
	b.says("[data-saved]", "10000 waiting to be sent")
	b.Await(`document.querySelectorAll(".tile .unsent").length === 1`)
}

// Five hundred entries go in three posts; how long it takes is logged, for a busy machine
// must not fail the test.
func TestOutboxDrains(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	l := newLine(t, s)
	b.signIn(s.ada.Name)
	b.awaitOutbox()
	b.Run(`(async () => {
		const list = [];
		for (let i = 0; i < 500; i++) list.push({person: document.body.dataset.person, name: "Ada", made: Date.now(), event: {
			id: scumble.uuid7(), kind: "note", piece: "` + s.pieces["Ash tray"].ID.String() + `", note: "n" + i, at: new Date(Date.now() - 60000).toISOString(), clock: new Date().toISOString()}});
		await scumble.outbox.add(list);
		const begun = performance.now();
		await scumble.outbox.wake();
		window.took = Math.round(performance.now() - begun);
	})()`)
	b.Await(`window.took`)
	b.says("[data-saved]", "all saved")
	t.Logf("500 entries in %s ms", b.Eval(`String(window.took)`))
	notes := s.notes("Ash tray")
	require.Len(t, notes, 500)
	require.Equal(t, "n0", notes[0])
	require.Equal(t, "n499", notes[499])
	require.EqualValues(t, 3, l.posts.Load())
}
