package bench

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image/png"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// network can be taken away from pages and worker alike: what is asked is hung up on.
type network struct {
	away    atomic.Bool
	version atomic.Int32      // of the worker, in front of its own
	worker  map[string]string // what is put in place of what in the worker, before it is asked for

	mu    sync.Mutex
	asked map[string]int    // how often the worker has fetched a page quietly, or all of a piece
	hook  func(path string) // hears of each such page before it is answered; nil: nobody
}

func newNetwork(s *testShop) *network {
	n := &network{worker: map[string]string{}, asked: map[string]int{}}
	s.between(func(w http.ResponseWriter, r *http.Request, inner http.Handler) {
		if quietly(r) {
			n.hear(r.URL.Path)
		}
		if n.away.Load() {
			panic(http.ErrAbortHandler)
		}
		if r.URL.Path == "/bench/sw.js" {
			w = another{w, n}
		}
		inner.ServeHTTP(w, r)
	})
	return n
}

func (n *network) hear(path string) {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.asked[path]++
	if n.hook != nil {
		n.hook(path)
	}
}

// since gives what the worker has fetched quietly since it was last asked.
func (n *network) since() map[string]int {
	n.mu.Lock()
	defer n.mu.Unlock()
	asked := n.asked
	n.asked = map[string]int{}
	return asked
}

// another serves the worker as another version of the program would.
type another struct {
	http.ResponseWriter
	network *network
}

func (a another) Write(body []byte) (int, error) {
	text := string(body)
	if v := a.network.version.Load(); v > 0 {
		text = strings.Replace(text, `VERSION = "`, fmt.Sprintf(`VERSION = "%d-`, v), 1)
	}
	for was, is := range a.network.worker {
		if !strings.Contains(text, was) {
			panic("the worker has no " + was)
		}
		text = strings.ReplaceAll(text, was, is)
	}
	_, err := a.ResponseWriter.Write([]byte(text))
	return len(body), err
}

// keeping signs in and waits until the tablet keeps its pages.
func keeping(t *testing.T) (*testShop, *tab, *network) {
	t.Helper()
	s, b := walk(t)
	n := newNetwork(s)
	b.signIn(s.ada.Name)
	b.keeps()
	return s, b, n
}

func (b *tab) keeps() {
	b.Await(`document.body.dataset.kept === "1"`)
}

func (b *tab) online() { b.Run(`dispatchEvent(new Event("online"))`) }

func TestPagesWithoutNetwork(t *testing.T) {
	t.Parallel()
	s, b, n := keeping(t)
	path := piecePath(s.pieces["Ash tray"].ID)
	n.away.Store(true)
	for _, page := range []string{"/bench", "/bench/waiting", "/bench/hand", "/bench/nottaken", path, path + "/note", path + "/back", path + "/back?defect=colour-off", path + "/time", path + "/measure"} {
		b.Go(page)
		b.tells(".asof", "No network: as of ")
	}
	b.Go(path + "/back?defect=colour-off")
	require.Equal(t, "colour-off", b.Eval(`document.querySelector("[name=defect]").value`))
	b.Go("/bench/hours")
	b.tells("h1", "No network")
	b.Await(`/^5 of 5 pieces on this tablet, fresh until \d\d:\d\d\.$/.test(document.querySelector("[data-kept-pieces]:not([hidden])").textContent)`)
	b.Shot("away-820")

	b.note("Ash tray", "Made without network")
	b.At(path)
	b.tells("[data-unsent]", "Note, Made without network")
	b.Shot("unsent-piece-820")
	b.Go(path)
	b.tells("[data-unsent]", "Note, Made without network")
	b.Go("/bench")
	b.Await(`document.querySelectorAll(".tile .unsent").length === 1`)
	b.Shot("unsent-list-820")
	b.Go(path)
	b.understand()
	b.openSheet()
	b.press("#tick .save")
	b.At("/bench")
	b.says("[data-saved]", "2 waiting to be sent")
	b.Go(path) // its copy is from before the cautions were read, which the tablet knows
	b.tells("[data-unsent]", "Done")
	for _, act := range []string{"/photos", "/note", "/move"} {
		b.Await(`document.querySelector('.acts a[href$="` + act + `"]').offsetHeight > 0`)
	}
	b.Await(`!document.querySelector("main > .actionbar").offsetHeight && !document.querySelector(".unread")`)
	b.Shot("unsent-done-820")
	b.Go("/bench")

	n.away.Store(false)
	b.online()
	b.says("[data-saved]", "all saved")
	require.Equal(t, []string{"Made without network"}, s.notes("Ash tray"))
	require.Equal(t, s.ada.ID, s.piece("Ash tray").Steps[0].DoneBy)
}

// What was entered without network stands on the page at once; how soon is a figure of
// loadtest's, for a busy machine must not fail a test.
func TestUnsentIsShownAtOnce(t *testing.T) {
	t.Parallel()
	s, b, n := keeping(t)
	b.Go(piecePath(s.pieces["Ash tray"].ID) + "/note")
	n.away.Store(true)
	b.Do(chromedp.SendKeys(chromedp.CSS("#note"), "quick"))
	b.tap(".actionbar .button-main")
	b.At(piecePath(s.pieces["Ash tray"].ID))
	b.tells("[data-unsent]", "Note, quick")
}

// The way back from a kept page names and opens the list that one came from, whichever was
// looked at last when the page was kept.
func TestTheWayBackWithoutNetworkIsTheListOneCameFrom(t *testing.T) {
	t.Parallel()
	s, b, n := keeping(t)
	path := piecePath(s.pieces["Ash tray"].ID)
	n.away.Store(true)
	for _, list := range [][2]string{{"/bench/waiting", "Waiting"}, {"/bench/hand", "In hand"}, {"/bench", "Ready now"}} {
		b.Go(list[0])
		b.tells(".asof", "No network")
		b.Await(`JSON.parse(sessionStorage["scumble.list"] || "{}").href === "` + list[0] + `"`)
		b.Go(path)
		b.tells(".asof", "No network")
		b.says(".back", "← "+list[1])
		b.tapTo(".back", list[0])
		b.tells("h1", list[1])
	}
	b.Go("/bench/waiting")
	b.Await(`JSON.parse(sessionStorage["scumble.list"]).word === "Waiting"`)
	b.Go(path + "/note")
	b.tells(".asof", "No network")
	b.says(".back", "← Piece")
}

// Every kind of entry that the bench makes is kept on the tablet, and taken as it was made.
func TestEveryKindOfEntryWithoutNetwork(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	rack, err := s.store.AddPlace(t.Context(), s.owner, restoration.Place{Name: "Drying rack", Kind: restoration.PlaceRack})
	require.NoError(t, err)
	s.enter(holdOf(s, "Door capping left", s.ben, "Waits for a part"))
	n := newNetwork(s)
	b.signIn(s.ada.Name)
	b.keeps()
	n.away.Store(true)
	at := func(name string) string { return piecePath(s.pieces[name].ID) }
	for _, c := range []struct{ piece, act, touch, says string }{
		{"Glove-box door", "/hold", `.picks [name=reason]`, "On hold"},
		{"Instrument panel", "/skip", `.picks [name=reason]`, "Skipped"},
		{"Windscreen moulding", "/move", `[name=place][value="Drying rack"]`, "Moved, Drying rack"},
		{"Ash tray", "/grade", `[name=grade][value="4"]`, "Grade, 4"},
		{"Door capping left", "?look=1", `form[data-event=release] .button`, "Released"},
	} {
		b.Go(at(c.piece) + c.act)
		b.Run(`for (const d of document.querySelectorAll("details.history")) d.open = true`)
		b.press(c.touch)
		b.At(at(c.piece))
		b.tells("[data-unsent]", c.says)
	}
	b.Go("/bench/places")
	b.Run(`document.querySelectorAll("details").forEach(d => d.open = true)`)
	b.tapTo(`a[href="`+placePath(rack.ID)+`"]`, placePath(rack.ID))
	b.tapTo(`.actionbar a`, placePath(rack.ID)+"/put")
	b.says("[data-saved]", "5 waiting to be sent")

	n.away.Store(false)
	b.online()
	b.says("[data-saved]", "all saved")
	require.NotNil(t, s.piece("Glove-box door").Holding)
	require.Equal(t, restoration.StepSkipped, s.piece("Instrument panel").Steps[0].State)
	require.Equal(t, "Drying rack", s.piece("Windscreen moulding").LiesAt)
	require.Equal(t, 4, s.piece("Ash tray").SteelGrade)
	require.Nil(t, s.piece("Door capping left").Holding)
}

// What was put away at a touch waits as everything else.
func TestPuttingAwayWithoutNetwork(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	rack, err := s.store.AddPlace(t.Context(), s.owner, restoration.Place{Name: "Drying rack", Kind: restoration.PlaceRack})
	require.NoError(t, err)
	s.enter(startOf(s, "Ash tray", s.ada))
	n := newNetwork(s)
	b.signIn(s.ada.Name)
	b.keeps()
	n.away.Store(true)
	b.Go(placePath(rack.ID) + "/put")
	b.tells(".asof", "as of")
	b.press(`.puts .button`)
	b.says("[data-saved]", "1 waiting to be sent")
	n.away.Store(false)
	b.online()
	b.says("[data-saved]", "all saved")
	require.Equal(t, "Drying rack", s.piece("Ash tray").LiesAt)
}

// A coat on several pieces at once is as many entries; none is offered a second time.
func TestTogetherWithoutNetwork(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	s.paint()
	names := s.three()
	s.read(s.ada, "")
	path := s.batchOf(restoration.LookCleared)
	n := newNetwork(s)
	b.signIn(s.ada.Name)
	b.keeps()
	n.away.Store(true)
	b.Go(togetherPath)
	b.tapTo(`a.tile[href="`+path+`"]`, path)
	b.Run(`document.querySelector(".sheet .button-main, [data-ack] button")?.click()`)
	b.press(".actionbar .button-main")
	b.At(togetherPath)
	b.says("[data-saved]", "3 waiting to be sent")
	b.Go(path)
	b.Await(`document.querySelectorAll("[name=pieces]").length === 3 && document.querySelectorAll(".ticks .unsent").length === 3 && !document.querySelector("[name=pieces]:checked")`)
	b.Shot("together-unsent")
	n.away.Store(false)
	b.online()
	b.says("[data-saved]", "all saved")
	for _, name := range names {
		deeds, err := s.store.Film(t.Context(), s.pieces[name].ID)
		require.NoError(t, err)
		require.Len(t, deeds, 1, name)
	}
}

func TestACopyGoesWhenTheServerIsBack(t *testing.T) {
	t.Parallel()
	s, b, n := keeping(t)
	n.away.Store(true)
	b.Go(piecePath(s.pieces["Ash tray"].ID) + "/note")
	b.tells(".asof", "No network: as of ")
	b.Fill("#note", "half a sen")
	n.away.Store(false)
	b.online()
	b.says(".asof", "The network is back. Show the page anew")
	require.Equal(t, "half a sen", b.Eval(`document.querySelector("#note").value`), "nothing goes under who writes")
	b.Shot("back-820")

	n.away.Store(true)
	b.Go("/bench/hand")
	b.tells(".asof", "No network: as of ")
	n.away.Store(false)
	b.Await(`document.querySelector("h1") && !document.querySelector(".asof")`)
}

// A label that is read or typed opens its piece where the tablet keeps it.
func TestFindingWithoutNetwork(t *testing.T) {
	t.Parallel()
	s, b, n := keeping(t)
	n.away.Store(true)
	label, path := s.pieces["Ash tray"].Label, piecePath(s.pieces["Ash tray"].ID)
	b.Go("/bench/find")
	b.tells(".asof", "as of")
	b.Fill(`[name="code"]`, strings.ToLower(label[:2]+" "+label[2:]))
	b.tap(".actionbar .button-main")
	b.At(path)
	b.Go("/bench/scan")
	b.Await(`document.querySelector("[data-signs]:not([hidden])")`)
	b.Go("/bench/find?scanned=1&code=" + url.QueryEscape("https://shop.example/bench/find?code="+label))
	b.At(path)
	b.Go("/bench/find?code=radiator+shell")
	b.At("/bench/away")
	b.Await(`!document.querySelector("[data-unknown]").hidden && document.querySelector("[data-not-kept]").hidden`)
	b.Shot("unknown-820")

	n.away.Store(false)
	b.online()
	b.At("/bench/find")
	b.tells("main", "No piece of an open car is called so")
}

// Words open what the tablet keeps, in any case and without accents; a place's code its place.
func TestFindingByWordsAndPlacesWithoutNetwork(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	car := s.newCar("1951 Ferndale <i>Überland</i>", "Radio bezel", "Radio grille")
	rack := s.addPlace("Drying rack", 0)
	n := newNetwork(s)
	b.signIn(s.ada.Name)
	b.keeps()
	n.away.Store(true)
	b.Go("/bench")
	b.tells(".asof", "7 of 7 pieces on this tablet")
	b.Fill(`.find [name="code"]`, "uberland RADIO")
	b.tapTo(".find .button", "/bench/find")
	b.says("main h2", "2 found on this tablet")
	require.Equal(t, "uberland RADIO", b.Eval(`document.querySelector("main [name=code]").value`))
	require.Equal(t, "Radio bezel|"+car.WorkOrder+" · "+car.Name, b.Eval(`["bdi", ".tile-car"].map(s => document.querySelector(".tiles " + s).textContent).join("|")`))
	b.Shot("found-820")
	require.Empty(t, b.Barriers())
	b.tapTo(".tiles li:last-child a", piecePath(s.pieces["Radio grille"].ID))
	b.tells("h1", "Radio grille")

	b.Go("/bench/find?code=" + strings.ToLower(rack.Code))
	b.At(placePath(rack.ID))
	b.tells("h1", "Drying rack")
	b.Go("/bench/find?code=drying")
	b.tapTo(".tiles a", placePath(rack.ID))
	b.Go("/bench/find?scanned=1&code=radio") // a label says no words
	b.At("/bench/away")
}

func TestNobodyIsSignedOutWithoutNetwork(t *testing.T) {
	t.Parallel()
	s, b, n := keeping(t)
	b.Go("/bench")
	n.away.Store(true)
	b.note("Ash tray", "stays")
	b.says("[data-saved]", "1 waiting to be sent")
	b.Go("/bench")
	b.tapTo(".benchhead form .button", "/bench/away")
	b.says("[data-still]", "Changing the person needs the network. You are still "+s.ada.Name+". What you have entered is safe on this tablet.")
	b.says("[data-saved]", "1 waiting to be sent")
	b.Await(`document.querySelectorAll("[data-if-kept]:not([hidden])").length === 3`)
	b.Shot("still-820")
	b.tapTo(`[data-if-kept]`, "/bench")
	b.tells(".asof", "as of")
	b.says(".who b", s.ada.Name)
	b.Go("/bench/people")
	b.tells("[data-not-kept]", "does not keep this page")

	n.away.Store(false)
	b.online()
	b.tells("h1", "Who")
}

func TestPagesAreWipedWithTheSignOut(t *testing.T) {
	t.Parallel()
	s, b, n := keeping(t)
	signOut(b)
	b.Await(`(caches.has("scumble-pages").then(h => window.left = h), window.left === false)`)

	b.signIn(s.ben.Name)
	b.keeps()
	n.away.Store(true)
	b.Go("/bench/hand")
	b.says(".who b", s.ben.Name)
}

func TestPagesOfATabletShutOutAreWiped(t *testing.T) {
	t.Parallel()
	s, b, n := keeping(t)
	b.Go("/bench")
	require.NoError(t, s.store.RevokeDevice(t.Context(), s.owner, s.device.ID))
	b.Go("/bench")
	b.At("/bench/enrol")
	b.Await(`(caches.has("scumble-pages").then(h => window.left = h), window.left === false)`)
	n.away.Store(true)
	b.Go("/bench")
	b.tells("h1", "No network")
	b.says("[data-kept-pieces]:not([hidden])", "No piece is on this tablet yet.")
}

func TestWorkerOfAnotherVersionTakesOverAtTheNextStart(t *testing.T) {
	t.Parallel()
	s, b, n := keeping(t)
	second := &tab{Tab: b.Beside(), shop: b.shop}
	second.Go("/bench")
	b.Go("/bench")
	b.Await(`navigator.serviceWorker.controller`)
	n.version.Store(2)
	b.Run(`navigator.serviceWorker.getRegistration("/bench").then(r => { window.reg = r; r.update() })`)
	b.Await(`window.reg?.waiting`)
	n.away.Store(true)
	second.Go("/bench/hand")
	second.tells(".asof", "as of") // by the older one
	second.note("Ash tray", "of the older one")
	second.says("[data-saved]", "1 waiting to be sent")

	n.away.Store(false)
	for _, page := range []*tab{b, second} { // none of the older one's is open any more
		page.Go("/healthz")
	}
	b.Go("/bench")
	b.says("[data-saved]", "all saved")
	require.Equal(t, []string{"of the older one"}, s.notes("Ash tray"))
	b.Await(`(caches.keys().then(k => window.names = k.filter(n => n.startsWith("scumble-shell")).join()), /^scumble-shell-2-[0-9a-f]+$/.test(window.names))`)
	n.away.Store(true)
	b.Go("/bench")
	b.tells(".asof", "as of")
}

// A page that the last release's worker kept asks for that release's files: it gets these.
func TestAPageOfTheLastReleaseOpensWithTheFilesOfThisOne(t *testing.T) {
	t.Parallel()
	s, b, n := keeping(t)
	path := piecePath(s.pieces["Ash tray"].ID) + "/note"
	b.Run(`(async (path) => {
		const pages = await caches.open("scumble-pages");
		const page = await pages.match(path);
		const text = await new Response(page.body.pipeThrough(new DecompressionStream("gzip"))).text();
		const aged = new Response(text.replaceAll(/\?v=[0-9a-f]+/g, "?v=0")).body.pipeThrough(new CompressionStream("gzip"));
		await pages.put(path, new Response(aged, { headers: page.headers }));
		window.aged = true;
	})("` + path + `")`)
	b.Await(`window.aged`)
	n.away.Store(true)
	b.Go(path)
	b.tells(".asof", "as of")
	require.Equal(t, "true", b.Eval(`String([...document.scripts].some(s => s.src.endsWith("?v=0")))`))
	b.Fill("#note", "on a page of before")
	b.tap(".actionbar .button-main")
	b.says("[data-saved]", "1 waiting to be sent")
	n.away.Store(false)
	b.online()
	b.says("[data-saved]", "all saved")
	require.Equal(t, []string{"on a page of before"}, s.notes("Ash tray"))
}

func TestManifestAndIcons(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.open(false)
	got := b.get("/bench/app.webmanifest")
	require.Equal(t, "application/manifest+json", got.header.Get("Content-Type"))
	var m struct {
		Scope string
		Icons []struct{ Src, Sizes string }
	}
	require.NoError(t, json.Unmarshal([]byte(got.body), &m))
	require.Equal(t, "/bench", m.Scope)
	require.Len(t, m.Icons, len(iconSides))
	for i, icon := range m.Icons {
		drawn, err := png.DecodeConfig(bytes.NewReader([]byte(b.get(icon.Src).body)))
		require.NoError(t, err)
		require.Equal(t, iconSides[i], drawn.Width)
		require.Equal(t, icon.Sizes, fmt.Sprintf("%dx%d", drawn.Width, drawn.Height))
	}
	require.Equal(t, "/bench", b.get("/bench/sw.js").header.Get("Service-Worker-Allowed"))
}
