package bench

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"scumble/internal/browsertest"
	"scumble/internal/restoration"
)

// addPlace makes a place of the test's shop.
func (s *testShop) addPlace(name string, holds int) restoration.Place {
	s.t.Helper()
	p, err := s.store.AddPlace(s.t.Context(), s.owner, restoration.Place{Name: name, Kind: restoration.PlaceRack, Holds: holds})
	require.NoError(s.t, err)
	return p
}

func TestPlacePages(t *testing.T) {
	t.Parallel()
	s := setup(t)
	rack := s.addPlace("Rack A", 1)
	b := s.signIn(s.ada)
	path := placePath(rack.ID)
	require.Equal(t, path, b.get("/bench/find?code="+strings.ToLower(rack.Code)).path)
	require.Equal(t, path, b.get("/bench/find?scanned=1&code="+url.QueryEscape("https://old.example/bench/find?code="+rack.Code)).path)
	require.Contains(t, b.get(path).body, "Nothing lies here.")
	require.Contains(t, b.get(placesPath).body, "0 of 1")

	scan := func(code string) page {
		return b.post(path+"/put", formOf(t, b.get(path+"/put").body, path+"/put", url.Values{"code": {code}}))
	}
	got := scan(s.pieces["Ash tray"].Label)
	require.Equal(t, path+"/put", got.path, "ready for the next")
	require.Contains(t, got.body, "Ash tray: moved to Rack A.")
	require.Equal(t, "Rack A", s.piece("Ash tray").LiesAt)
	require.Contains(t, scan(s.pieces["Instrument panel"].Label).body, "Rack A is full: 2 of 1 with this one.")
	require.Equal(t, "Rack A", s.piece("Instrument panel").LiesAt, "warned of, not refused")
	require.Contains(t, scan(s.pieces["Instrument panel"].Label).body, "Instrument panel: it lies there already.")
	history, err := s.store.History(t.Context(), restoration.HistoryFilter{PieceID: s.pieces["Instrument panel"].ID, Limit: 1})
	require.NoError(t, err)
	require.Equal(t, restoration.Already, history[0].Outcome.Result, "no second move")
	wrong := scan("12")
	require.Equal(t, http.StatusUnprocessableEntity, wrong.status)
	require.Contains(t, wrong.body, "has 5 signs, a place&#39;s 6; this has 2.")
	require.Contains(t, wrong.body, `value="12"`, "what was typed stays")

	here := b.get(path).body
	for _, says := range []string{"2 of 1, full", "Ash tray", "Instrument panel", "here since 09:00"} {
		require.Contains(t, here, says)
	}
	require.Equal(t, http.StatusNotFound, b.get(placesPath+"/4711").status)
	require.Equal(t, http.StatusNotFound, b.get(placesPath+"/x").status)
	require.NoError(t, s.store.RetirePlace(t.Context(), s.owner, rack.ID))
	require.Contains(t, b.get(path).body, "Rack A is no place of this shop any more.")
	require.Contains(t, b.get("/bench/find?code="+rack.Code).body, "is the label of no place in use")
}

// A place's code, typed where a place is named, means that place: in the form and by the
// script; what a tablet kept is never lost for it.
func TestACodeTypedForAPlaceMeansIt(t *testing.T) {
	t.Parallel()
	s := setup(t)
	rack, gone := s.addPlace("Rack A", 0), s.addPlace("Rack B", 0)
	require.NoError(t, s.store.RetirePlace(t.Context(), s.owner, gone.ID))
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	moves := func(own string) page {
		return b.post(path+"/move", formOf(t, b.get(path+"/move").body, path+"/move", url.Values{"own": {own}}))
	}
	require.Contains(t, moves(strings.ToLower(rack.Code)).body, "moved to Rack A")
	require.Equal(t, "Rack A", s.piece("Ash tray").LiesAt)
	wrong := moves(gone.Code)
	require.Equal(t, http.StatusUnprocessableEntity, wrong.status)
	require.Contains(t, wrong.body, "There is no such place: "+gone.Code)
	require.Contains(t, wrong.body, `value="`+gone.Code+`"`, "what was typed stays")
	require.Contains(t, moves("Pallet").body, "moved to Pallet", "a word is a name")

	sends := func(query, place string) string {
		return b.send("/bench/events"+query, batch(t, entryOf(s, "Ash tray", "move", map[string]any{"place": place}))).body
	}
	require.Contains(t, sends("?say=1", gone.Code), "There is no such place")
	require.Equal(t, "Pallet", s.piece("Ash tray").LiesAt)
	require.Contains(t, sends("", rack.Code), `"applied"`)
	require.Equal(t, "Rack A", s.piece("Ash tray").LiesAt)
	require.Contains(t, sends("", gone.Code), `"applied"`, "it is late to ask")
	require.Equal(t, gone.Code, s.piece("Ash tray").LiesAt)
}

// What lies at a place that is retired stays there by its word until somebody moves it.
func TestAPlaceIsRetiredWhilePiecesLieThere(t *testing.T) {
	t.Parallel()
	s := setup(t)
	rack, shelf := s.addPlace("Rack A", 0), s.addPlace("Shelf", 0)
	ash := s.pieces["Ash tray"].ID
	s.enter(restoration.Event{Kind: restoration.KindMove, PieceID: ash, PersonID: s.ada.ID, Payload: restoration.Payload{Place: "Rack A"}})
	require.NoError(t, s.store.RetirePlace(t.Context(), s.owner, rack.ID))
	b := s.signIn(s.ada)
	require.Contains(t, b.get(piecePath(ash)+"?look=1").body, "Rack A", "it still says where it lies")
	require.NotContains(t, b.get(placesPath).body, "Rack A", "but nothing more is put there")
	put := placePath(shelf.ID) + "/put"
	require.Contains(t, b.post(put, formOf(t, b.get(put).body, put, url.Values{"code": {s.pieces["Ash tray"].Label}})).body, "Ash tray: moved to Shelf.")
	differences, err := s.store.Verify(t.Context())
	require.NoError(t, err)
	require.Empty(t, differences)
}

// What a place holds well comes first for the next piece of that kind, with the word.
func TestAPlaceRemembersWhatItHolds(t *testing.T) {
	t.Parallel()
	s := setup(t)
	jig := s.addPlace("Jig", 0)
	s.addPlace("Aisle rack", 4)
	s.enter(restoration.Event{Kind: restoration.KindMove, PieceID: s.pieces["Ash tray"].ID, PersonID: s.ada.ID, Payload: restoration.Payload{Place: "Jig"}})
	other := s.newCar("1949 Larkhall Ten", "Ash tray")
	b := s.signIn(s.ada)
	say := func(word string) page {
		return b.post(placePath(jig.ID)+"/holds", url.Values{"piece": {"Ash tray"}, "body": {other.Body}, "say": {word}})
	}
	require.Contains(t, say("well").body, "Jig: holds it well: Ash tray.")
	move := b.get(piecePath(s.pieces["Ash tray"].ID) + "/move").body
	well := strings.Index(move, "Holds its kind well")
	require.Positive(t, well)
	require.Less(t, well, strings.Index(move, "Aisle rack"))
	require.Contains(t, move, "holds it well, 1 piece")
	require.Contains(t, say("badly").body, "Jig: holds it badly: Ash tray.")
	require.Contains(t, b.get(piecePath(s.pieces["Ash tray"].ID)+"/move").body, "holds it badly, 1 piece")
	require.Contains(t, say("").body, "nothing is said any more of Ash tray")
	require.NotContains(t, b.get(piecePath(s.pieces["Ash tray"].ID)+"/move").body, "holds it")
}

// With gloves: a rack scanned on a piece's page is one touch from holding it; on the page
// that puts away, each scan is one entry.
func TestWalkPutAway(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	rack := s.addPlace("Rack A", 2)
	path := piecePath(s.pieces["Ash tray"].ID)
	b.signIn(s.ada.Name)
	b.Go(path)
	b.understand()
	b.Do(chromedp.KeyEvent(rack.Code + "\r"))
	b.At(path + "/move")
	b.tapTo("main .button-main", path)
	require.Equal(t, "Rack A", s.piece("Ash tray").LiesAt)

	s.enter(startOf(s, "Instrument panel", s.ada))
	b.Go(placePath(rack.ID))
	b.tapTo(".actionbar .button-main", placePath(rack.ID)+"/put")
	b.Await(`document.activeElement?.name === "code"`)
	b.Do(chromedp.KeyEvent(s.pieces["Door capping left"].Label + "\r"))
	b.tells(".notice", "Door capping left")
	require.Equal(t, "Rack A", s.piece("Door capping left").LiesAt)
	b.tap(`.puts .button`)
	b.tells(".notice", "Instrument panel")
	b.tells(".notice", "Rack A is full: 3 of 2 with this one.")
	require.Equal(t, "Rack A", s.piece("Instrument panel").LiesAt)
	for _, page := range []string{placesPath, placePath(rack.ID), placePath(rack.ID) + "/put", path + "/move?to=1"} {
		b.Go(page)
		for _, d := range browsertest.AllDevices {
			b.Resize(d)
			require.Equal(t, "0", b.TooWide(), "%s at %d", page, d.W)
			require.Empty(t, b.Barriers(), "%s at %d", page, d.W)
			require.Equal(t, "true", b.Eval(`String([...document.querySelectorAll("main button, main a.button")].filter(e => e.checkVisibility()).every(e => e.getBoundingClientRect().height >= 56))`), "%s at %d", page, d.W)
			require.Equal(t, "true", b.Eval(`String([...document.querySelectorAll("main .button-main")].every(e => e.getBoundingClientRect().height >= 104))`), "%s at %d", page, d.W)
		}
	}
}
