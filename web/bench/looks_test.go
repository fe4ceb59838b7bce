package bench

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/browsertest"
	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// gallery brings a shop into every state that a page of the bench shows, and names
// the pages.
func gallery(s *testShop) map[string]string {
	home := s.car
	s.car = s.newCar("1938 Hallam Drophead", "Waist rail", "Fascia", "Door fillet", "Header capping", "Cant rail")
	paint := s.paint()
	s.cutReady("Waist rail", paint[coating.Clear])
	hallam := s.car
	s.car = home
	s.newCar("1951 Ferndale Traveller", "Header rail", "Glove-box door, right, with lock and map pocket", "Pillar cap")
	s.advance("Instrument panel", s.ada, 4)
	s.pass(36 * time.Hour) // the ground is hard, its window still open
	s.advance("Ash tray", s.ben, 5)
	s.pass(-time.Hour)
	s.advance("Windscreen moulding", s.ada, 2)
	s.pass(time.Hour)
	s.enter(holdOf(s, "Pillar cap", s.ben, "A part is missing"))
	s.car = hallam
	struck := finish(s, paint[coating.Clear])
	s.car = home
	s.read(s.ada, restoration.LookPrimed)
	s.enter(startOf(s, "Glove-box door", s.ada))
	s.enter(startOf(s, "Header rail", s.ben))
	s.pass(95 * time.Minute)
	at := func(name string) string { return piecePath(s.pieces[name].ID) }
	return map[string]string{
		"enrol":    "/bench/enrol",
		"people":   "/bench/people",
		"pin":      fmt.Sprintf("/bench/pin/%d", s.ada.ID),
		"ready":    "/bench",
		"waiting":  "/bench/waiting",
		"hand":     "/bench/hand",
		"hours":    "/bench/hours",
		"find":     "/bench/find",
		"unknown":  "/bench/find?code=XXXXX",
		"open":     at("Instrument panel"),
		"mine":     at("Glove-box door"),
		"others":   at("Header rail"),
		"waits":    at("Ash tray"),
		"held":     at("Pillar cap"),
		"defects":  at("Instrument panel") + "/back",
		"sendback": at("Instrument panel") + "/back?defect=colour-off",
		"time":     at("Glove-box door") + "/time",
		"note":     at("Glove-box door") + "/note",
		"move":     at("Glove-box door") + "/move",
		"hold":     at("Glove-box door") + "/hold",
		"skip":     at("Glove-box door") + "/skip",
		"early":    at("Ash tray") + "/early",
		"sheet":    at("Instrument panel") + "#done",
		"scuff":    at("Windscreen moulding") + "#done",
		"strip":    at("Door capping left") + "#done",
		"fresh":    at("Door capping left") + "?look=1",
		"photos":   at("Door capping left") + "/photos",
		"grade":    at("Door capping left") + "/grade",
		"found":    "/bench/find?code=door",
		"unread":   at("Cant rail"),
		"looking":  at("Cant rail") + "?look=1",
		"cleared":  at("Fascia"),
		"short":    at("Fascia") + "#done",
		"coat":     at("Fascia") + "/coat",
		"cutpiece": at("Waist rail"),
		"passes":   at("Waist rail") + "/cut",
		"gauge":    at("Waist rail") + "/measure",
		"gloss":    at("Waist rail") + "/measure?what=gloss",
		"colour":   at("Waist rail") + "/measure?what=colour",
		"strike":   at("Fascia") + "/strike?ref=" + struck.String(),
		"sanding":  at("Header capping") + "/cut",
		"together": "/bench/together",
		"batch":    s.batchOf(restoration.LookCleared),
		"nobatch":  s.batchOf(restoration.LookGrained),
	}
}

// finish puts pieces into the states that the film shows, and gives an entry of it.
func finish(s *testShop, clear restoration.Material) restoration.ID {
	for _, name := range []string{"Fascia", "Door fillet"} {
		s.advance(name, s.ada, 5)
	}
	s.advance("Header capping", s.ben, 2)
	s.pass(26 * time.Hour)
	s.advance("Cant rail", s.ben, 1)
	return s.spray("Fascia", clear, 1, 5*time.Minute)
}

// tooSmall lists what can be touched but is smaller than a gloved finger needs.
const tooSmall = `JSON.stringify([...document.querySelectorAll("a, button, input, textarea, select, summary, label.choice, label.hold")].flatMap(el => {
	const box = el.getBoundingClientRect();
	if (!box.width || el.closest(".skip, .hidden") || el.matches(".skip, .hidden, [type=hidden]")) return [];
	const label = el.closest("label.choice, label.hold");
	if (label && el !== label) return [];  // the label around it is the target
	const least = el.matches(".button-main, .button-danger, .tile, .people a, .pad button, .pair button, .passes .grades button") ? 104 : 56;
	return box.height < least - .5 || box.width < 55.5 ? [el.tagName + " " + el.className + " “" + el.textContent.trim() + "” " + Math.round(box.width) + "×" + Math.round(box.height)] : [];
}))`

// Gloves need 20 mm for main actions, which is 104 CSS px on common tablets, and 56
// px for everything else; and nothing may run out of the screen to the side.
func TestEverythingTouchableIsLargeEnough(t *testing.T) {
	t.Parallel()
	s := setup(t)
	pages := gallery(s)
	b := newTab(t, s)
	b.Go("/bench/enrol")
	measure(t, b, "enrol")
	b.enrol()
	delete(pages, "enrol")
	for _, name := range []string{"people", "pin"} {
		b.Go(pages[name])
		measure(t, b, name)
		delete(pages, name)
	}
	b.signIn(s.ada.Name)
	for name, path := range pages {
		b.Go(path)
		measure(t, b, name)
	}
}

func measure(t *testing.T, b *tab, name string) {
	t.Helper()
	for _, screen := range browsertest.AllDevices {
		b.Resize(browsertest.Device{W: screen.W, H: screen.H, Touch: true})
		var small []string
		require.NoError(t, json.Unmarshal([]byte(b.Eval(tooSmall)), &small))
		require.Empty(t, small, "%s at %d", name, screen.W)
		require.Equal(t, "0", b.TooWide(), "%s at %d runs out of the screen", name, screen.W)
		b.Shot(fmt.Sprintf("%s-%d", name, screen.W))
	}
}

// covered lists the actions of a piece that the bar at the bottom lies over.
const covered = `JSON.stringify([...document.querySelectorAll(".acts .button")].filter(el =>
	el.getBoundingClientRect().bottom > document.querySelector("main > .actionbar").getBoundingClientRect().top
).map(el => el.textContent.trim()))`

// On a tablet every action of a piece is in sight as the page opens, whatever stands in
// the bar; and the counter of what waits to be sent moves nothing.
func TestNothingCoversAnAction(t *testing.T) {
	t.Parallel()
	s := setup(t)
	pages := gallery(s)
	b := newTab(t, s)
	b.Go("/bench/enrol")
	b.enrol()
	b.signIn(s.ada.Name)
	for _, tablet := range []browsertest.Device{{W: 1180, H: 820, Touch: true}, {W: 820, H: 1180, Touch: true}} {
		b.Resize(tablet)
		for _, name := range []string{"open", "mine", "others", "waits", "held", "cleared", "cutpiece"} {
			b.Go(pages[name])
			require.Equal(t, "[]", b.Eval(covered), "%s at %d", name, tablet.W)
			before := b.Box(".acts .button")
			b.Run(`document.querySelector("[data-saved]").textContent = "12 waiting to be sent"`)
			require.Equal(t, before, b.Box(".acts .button"), "%s at %d", name, tablet.W)
		}
	}
}

// crowded tells how the facts of a batch stand: how many in the fullest row, and which run
// out of their place.
const crowded = `JSON.stringify((facts => {
	const rows = Object.groupBy(facts, f => Math.round(f.getBoundingClientRect().top));
	const wide = facts.filter(f => [f, ...f.children].some(x => x.scrollWidth > x.clientWidth + 1)).map(f => f.textContent.trim());
	return { most: Math.max(...Object.values(rows).map(r => r.length)), wide };
})([...document.querySelectorAll("#batch-mix > .facts > div")]))`

// On a narrow screen the facts of a batch stand two in a row, in either units, so that they
// don't push the pieces down; none is wider than its place.
func TestTheFactsOfABatchStandTwoInARow(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	s.paint()
	s.three()
	s.read(s.ada, "")
	b.signIn(s.ada.Name)
	b.Resize(browsertest.Device{W: 360, H: 780, Touch: true})
	for _, units := range []restoration.Units{restoration.Metric, restoration.US} {
		s.measures(units)
		b.Go(s.batchOf(restoration.LookCleared))
		var facts struct {
			Most int
			Wide []string
		}
		require.NoError(t, json.Unmarshal([]byte(b.Eval(crowded)), &facts))
		require.Equal(t, 2, facts.Most, units)
		require.Empty(t, facts.Wide, units)
		require.Equal(t, "0", b.TooWide(), units)
		b.Shot("batch-360-" + string(units))
	}
}
