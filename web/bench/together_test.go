package bench

import (
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// batchOf finds the address of the group that the shop can spray at a stage.
func (s *testShop) batchOf(look restoration.Look) string {
	s.t.Helper()
	shop, err := s.store.SprayKeys(s.t.Context())
	require.NoError(s.t, err)
	for _, g := range restoration.Batches(shop, s.clock(), sprayHorizon) {
		if g.Look == look {
			return togetherPath + "/" + url.PathEscape(g.Key)
		}
	}
	s.t.Fatalf("nothing can be sprayed at %s", look)
	return ""
}

// three brings three pieces to the clear.
func (s *testShop) three() []string {
	names := []string{"Ash tray", "Glove-box door", "Instrument panel"}
	for _, n := range names {
		s.advance(n, s.ada, 5)
	}
	s.pass(48 * time.Hour)
	return names
}

// spraying is a shop with three pieces at the clear, whose cautions are read, a browser of
// Ada's, and the address of their group.
func spraying(t *testing.T) (*testShop, *browser, string) {
	t.Helper()
	s := setup(t)
	s.paint()
	s.three()
	s.read(s.ada, "")
	return s, s.signIn(s.ada), s.batchOf(restoration.LookCleared)
}

func TestOneCoatOnSeveralPieces(t *testing.T) {
	t.Parallel()
	s := setup(t)
	paint := s.paint()
	names := s.three()
	s.read(s.ada, "")
	b := s.signIn(s.ada)
	list := b.get("/bench/together").body
	path := s.batchOf(restoration.LookCleared)
	require.Contains(t, list, `href="`+path+`"`)
	require.Contains(t, list, "3 pieces")
	require.Contains(t, list, "29 CFR 1910.107(c)")

	page := b.get(path).body
	form := filmForm(t, page, path, nil)
	require.Len(t, form["pieces"], 3, "all are ticked")
	form["pieces"] = form["pieces"][:2] // one is taken out
	got := b.post(path, form)
	require.Equal(t, togetherPath, got.path)
	require.Contains(t, got.body, "Coat saved on 2 pieces.")

	coated := 0
	var batch restoration.ID
	for _, n := range names {
		deeds, err := s.store.Film(t.Context(), s.pieces[n].ID)
		require.NoError(t, err)
		for _, d := range deeds {
			coated++
			require.Equal(t, paint[coating.Clear].ID, d.Material)
			require.Greater(t, d.ML, 0.0)
			require.False(t, d.Batch.IsZero())
			require.True(t, batch.IsZero() || batch == d.Batch, "they share the batch")
			batch = d.Batch
		}
	}
	require.Equal(t, 2, coated)
}

// A piece whose coat is too old for the next is marked and begins without a tick, and
// no amount is mixed for it.
func TestAShutWindowIsSaidBeforeThePaintIsOn(t *testing.T) {
	t.Parallel()
	s := setup(t)
	clear := s.paint()[coating.Clear]
	s.three()
	s.read(s.ada, "")
	ash := s.piece("Ash tray")
	s.enter(restoration.Event{Kind: restoration.KindCoat, PieceID: ash.ID, StepID: ash.Sum.NextStep, PersonID: s.ada.ID, DeviceID: s.device.ID,
		Payload: restoration.Payload{Coat: &restoration.Coat{Number: 1, Material: clear.ID}, Checks: []string{restoration.CheckScuffed}, Reason: "tins unknown"}})
	s.pass(8 * 24 * time.Hour)
	b := s.signIn(s.ada)
	path := s.batchOf(restoration.LookCleared)
	list := b.get(togetherPath).body
	require.Contains(t, list, "2 pieces")
	require.Contains(t, list, "ready now, 1 to flat first")
	page := b.get(path).body
	require.Contains(t, page, "recoat window shut: flat first")
	ticked := filmForm(t, page, path, nil)["pieces"]
	require.Len(t, ticked, 2)
	for _, line := range ticked {
		require.NotContains(t, line, ash.ID.String())
	}
}

// Taking a piece out changes the amounts, without a script by a button, and the rules are
// asked before the coat is on; what was typed stays, and nothing is saved.
func TestTakingAPieceOutWorksTheBatchOutAgain(t *testing.T) {
	t.Parallel()
	s, b, path := spraying(t)
	page := b.get(path).body
	require.Contains(t, page, "3 of 3")
	form := filmForm(t, page, path, url.Values{"coat.wet_um": {"55"}, "own": {"Tested"}, workAgain: {"1"}})
	form["pieces"] = form["pieces"][:1]
	got := b.post(path, form)
	require.Equal(t, http.StatusOK, got.status)
	require.Contains(t, got.body, "1 of 3")
	require.Contains(t, got.body, `value="55"`)
	require.Contains(t, got.body, `value="Tested"`)
	again := filmForm(t, got.body, path, nil)["pieces"]
	require.Len(t, again, 1, "what was taken out stays out")
	require.NotEqual(t, poured(t, page), poured(t, got.body), "less is mixed")
	for _, p := range s.pieces {
		deeds, err := s.store.Film(t.Context(), p.ID)
		require.NoError(t, err)
		require.Empty(t, deeds)
	}
	form["pieces"] = nil
	got = b.post(path, form)
	require.Contains(t, got.body, "0 of 3")
	require.NotContains(t, got.body, `class="pour"`, "nothing is mixed for nothing")
}

// What is typed of a coat on one piece is judged as that of a group is: the page comes back
// with what the rules say, and nothing is saved.
func TestACoatIsJudgedBeforeItIsSaved(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.clearNext("Ash tray")
	s.read(s.ada, "")
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID) + "/coat"
	page := b.get(path).body
	const wet, noTin = "Surface at dew point: wet.", "No tin is named"
	require.NotContains(t, page, wet)
	require.NotContains(t, page, noTin)
	form := filmForm(t, page, path, url.Values{"coat.air.air_c": {"26"}, "coat.air.humidity": {"60"}, "coat.air.surface_c": {"17"}, "coat.lots": nil, workAgain: {"1"}})
	got := b.post(path, form)
	require.Equal(t, http.StatusOK, got.status)
	require.Equal(t, 1, strings.Count(got.body, wet))
	require.Contains(t, got.body, noTin)
	require.Contains(t, got.body, "Read 2 cautions")
	require.Contains(t, got.body, `name="coat.air.surface_c" type="text" inputmode="decimal" value="17"`)
	form["coat.air.surface_c"] = []string{"1.2.3"}
	got = b.post(path, form)
	require.Equal(t, http.StatusOK, got.status, "what can't be read yet is no fault before Save")
	require.NotContains(t, got.body, wet)
	deeds, err := s.store.Film(t.Context(), s.pieces["Ash tray"].ID)
	require.NoError(t, err)
	require.Empty(t, deeds)
}

// poured is what stands to be poured on a page.
func poured(t *testing.T, body string) string {
	t.Helper()
	_, pour, ok := strings.Cut(body, `<dl class="pour">`)
	require.True(t, ok)
	pour, _, _ = strings.Cut(pour, "</dl>")
	return pour
}

// What the rules will ask stands on the page before the paint is on, once for all pieces,
// and one reason answers it.
func TestTheTogetherPageSaysBeforeWhatWillBeAsked(t *testing.T) {
	t.Parallel()
	s := setup(t)
	clear := s.paint()[coating.Clear]
	names := s.three()
	b := s.signIn(s.ada)
	for _, n := range names[:2] {
		s.spray(n, clear, 1, 0)
	}
	s.pass(8 * 24 * time.Hour)
	s.read(s.ada, "")
	path := s.batchOf(restoration.LookCleared)
	page := b.get(path).body
	require.NotContains(t, page, "The recoat window of the coat before shut", "shut pieces are not ticked")
	form := filmForm(t, page, path, url.Values{workAgain: {"1"}})
	form["pieces"] = allPieces(page)
	require.Len(t, form["pieces"], 3)
	got := b.post(path, form)
	require.Equal(t, 1, strings.Count(got.body, "The recoat window of the coat before shut"))
	require.Regexp(t, `2 pieces \(Ash tray[^)]*Glove-box door[^)]*\): The recoat window of the coat before shut`, got.body)
	require.Contains(t, got.body, "Scuffed all over")
	require.Regexp(t, `data-wants="reason" hidden`, got.body, "scuffed, it needs no reason")

	form = filmForm(t, got.body, path, nil)
	require.Len(t, form["pieces"], 3)
	got = b.post(path, form)
	require.Equal(t, http.StatusUnprocessableEntity, got.status)
	require.Contains(t, got.body, "Nothing is saved yet.")
	require.Equal(t, 1, strings.Count(got.body, "The recoat window of the coat before shut"), "one cause, one line")
	require.Contains(t, got.body, `<p class="error" id="own-error">Put it right, or say why it is so.`)
	form = filmForm(t, got.body, path, url.Values{"checks": {restoration.CheckScuffed}})
	require.Len(t, form["pieces"], 3)
	require.Contains(t, b.post(path, form).body, "Coat saved on 3 pieces.")
	entries, err := s.store.History(t.Context(), restoration.HistoryFilter{PieceID: s.pieces[names[0]].ID, Limit: 3})
	require.NoError(t, err)
	require.Contains(t, entries[0].Event.Checks, restoration.CheckScuffed)
	for _, e := range entries {
		require.NotEqual(t, restoration.Refused, e.Outcome.Result, "a form that asks back refuses nothing")
	}
}

// What is behind the cautions is judged too, for a script takes them away; and a second coat
// begins with the tins of the first, as it does on a single piece.
func TestABatchBeginsWithTheTinsOfItsLastCoat(t *testing.T) {
	t.Parallel()
	s := setup(t)
	clear := s.paint()[coating.Clear]
	second := s.tin(clear, 0, "4712")
	s.three()
	b := s.signIn(s.ada)
	path := s.batchOf(restoration.LookCleared)
	const unnamed = "No tin of clear is named"
	for _, page := range []string{path, piecePath(s.pieces["Ash tray"].ID) + "/coat"} {
		body := b.get(page).body
		require.Contains(t, body, "Before you begin", page)
		require.Contains(t, body, unnamed, page)
	}
	s.read(s.ada, "")
	form := filmForm(t, b.get(path).body, path, nil)
	require.Len(t, form["coat.lots"], 1, "the hardener is the only one")
	chosen := strconv.FormatInt(second.ID, 10)
	form["coat.lots"] = append(form["coat.lots"], chosen)
	require.Contains(t, b.post(path, form).body, "Coat saved on 3 pieces.")
	s.pass(20 * time.Minute) // flashed off
	body := b.get(path).body
	require.Contains(t, filmForm(t, body, path, nil)["coat.lots"], chosen)
	require.NotContains(t, body, unnamed)
}

// The pieces of a group share its tins: what one takes, the next doesn't find.
func TestATinThatIsEnoughForOneOfThreePiecesIsSaidBefore(t *testing.T) {
	t.Parallel()
	s := setup(t)
	clear := s.paint()[coating.Clear]
	s.three()
	s.read(s.ada, "")
	b := s.signIn(s.ada)
	path := s.batchOf(restoration.LookCleared)
	form := filmForm(t, b.get(path).body, path, nil)
	require.Len(t, form["pieces"], 3)
	first, ok := lineOf(form["pieces"][0])
	require.True(t, ok)
	one := clear.PartML(0, first.Coat.SheetML) // what each of the three takes of the clear
	rest, err := s.store.SaveLot(t.Context(), s.owner, restoration.Lot{Material: clear.ID, Number: "Rest", AmountML: 1.5 * one})
	require.NoError(t, err)
	form["coat.lots"] = []string{strconv.FormatInt(rest.ID, 10)}
	form.Set(workAgain, "1")
	body := b.post(path, form).body
	require.Regexp(t, `>[^;<]+: Lot Rest holds less than this takes\.`, body, "the second piece finds half of what it takes")
	require.Regexp(t, `>[^;<]+: Lot Rest is empty by the book\.`, body, "the third nothing")
	form.Del(workAgain)
	require.Contains(t, b.post(path, form).body, "Nothing is saved yet.")
	require.Zero(t, s.coats())
}

// The pot life goes by the air that was typed, once it can be.
func TestTheMixGoesByTheTypedAir(t *testing.T) {
	t.Parallel()
	_, b, path := spraying(t)
	page := b.get(path).body
	for typed, says := range map[string]string{"": "it keeps 2 h at 20 °C", "30": "it keeps 1 h at 30 °C", "300": "it keeps 2 h at 20 °C"} {
		form := filmForm(t, page, path, url.Values{workAgain: {"1"}, "coat.air.air_c": {typed}})
		require.Contains(t, strings.ReplaceAll(b.post(path, form).body, "\u00a0", " "), says, typed)
	}
}

// allPieces are the lines of all pieces of a group, ticked or not.
func allPieces(body string) (lines []string) {
	for _, m := range regexp.MustCompile(`name="pieces" value="([^"]*)"`).FindAllStringSubmatch(body, -1) {
		lines = append(lines, m[1])
	}
	return lines
}

func TestARefusedPieceOfABatchIsSaidAndTheOthersAreSaved(t *testing.T) {
	t.Parallel()
	s, b, path := spraying(t)
	form := filmForm(t, b.get(path).body, path, url.Values{"coat.wet_um": {"55"}})
	ash := s.piece("Ash tray")
	s.enter(restoration.Event{Kind: restoration.KindSkip, PieceID: ash.ID, StepID: ash.Sum.NextStep, PersonID: s.ben.ID, DeviceID: s.device.ID,
		Payload: restoration.Payload{Reason: "Not needed on this piece"}})
	got := b.post(path, form)
	require.Equal(t, http.StatusUnprocessableEntity, got.status)
	require.Contains(t, got.body, "Coat saved on 2 pieces.")
	require.Contains(t, got.body, "Ash tray: The step was skipped")
	require.Contains(t, got.body, `value="55"`, "what was typed stays")
}

func TestABatchNeedsPiecesAndReadableFigures(t *testing.T) {
	t.Parallel()
	_, b, path := spraying(t)
	for name, c := range map[string]struct {
		more url.Values
		says string
	}{
		"none ticked":  {url.Values{"pieces": nil}, "Touch at least one piece."},
		"tampered":     {url.Values{"pieces": {"a b c"}}, "out of date"},
		"a bad figure": {url.Values{"coat.wet_um": {"1.2.3"}}, "can&#39;t be read"},
	} {
		got := b.post(path, filmForm(t, b.get(path).body, path, c.more))
		require.Equal(t, http.StatusUnprocessableEntity, got.status, name)
		require.Contains(t, got.body, c.says, name)
	}
	require.Equal(t, http.StatusNotFound, b.get(togetherPath+"/nothing.x.1.0").status)
}

func TestTheBatchPageHoldsBackForCautions(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.paint()
	s.three()
	b := s.signIn(s.ada)
	path := s.batchOf(restoration.LookCleared)
	body := b.get(path).body
	require.Contains(t, body, "Before you begin: Cleared")
	require.Contains(t, body, `href="`+path+`?look=1">Only looking`)
	looks := b.get(path + "?look=1").body
	require.NotContains(t, looks, "Before you begin")
	require.Contains(t, looks, "3 of 3", "who only looks sees the group")
	require.NotContains(t, looks, "Save coat")
	require.Regexp(t, `href="`+regexp.QuoteMeta(path)+`"[^>]*>(<span>)?Read the cautions`, looks)
	got := b.post("/bench/cautions", formOf(t, body, "/bench/cautions", nil))
	require.Equal(t, path, got.path)
	require.NotContains(t, got.body, "Before you begin")
	require.Contains(t, b.get(path+"?look=1").body, "Save coat", "they are read")
}

func TestNothingToSprayTogether(t *testing.T) {
	t.Parallel()
	s := setup(t)
	require.Contains(t, s.signIn(s.ada).get("/bench/together").body, "No piece comes to a spray stage next.")
}

func TestTheSensorsAirFillsTheFormWhileItIsFresh(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.paint()
	s.three()
	s.read(s.ada, "")
	token := s.sensor("Booth")
	require.Equal(t, http.StatusOK, airSent(t, s, token, `{"air_c":21.5,"humidity":48,"surface_c":20}`).status)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	for _, at := range []string{path + "/coat", s.batchOf(restoration.LookCleared)} {
		action := at
		form := filmForm(t, b.get(at).body, action, nil)
		require.Equal(t, []string{"21.5", "48", "20"}, []string{form.Get("coat.air.air_c"), form.Get("coat.air.humidity"), form.Get("coat.air.surface_c")}, at)
	}
	s.pass(restoration.SensorAge + time.Minute)
	form := filmForm(t, b.get(path+"/coat").body, path+"/coat", nil)
	require.Empty(t, form.Get("coat.air.air_c"), "an old reading says nothing")
}
