package bench

import (
	"net/http"
	"net/url"
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
	require.Contains(t, list, "all ready now, 1 to flat first")
	page := b.get(path).body
	require.Contains(t, page, "recoat window shut: flat first")
	ticked := filmForm(t, page, path, nil)["pieces"]
	require.Len(t, ticked, 2)
	for _, line := range ticked {
		require.NotContains(t, line, ash.ID.String())
	}
}

func TestARefusedPieceOfABatchIsSaidAndTheOthersAreSaved(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.paint()
	s.three()
	s.read(s.ada, "")
	b := s.signIn(s.ada)
	path := s.batchOf(restoration.LookCleared)
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
	s := setup(t)
	s.paint()
	s.three()
	s.read(s.ada, "")
	b := s.signIn(s.ada)
	path := s.batchOf(restoration.LookCleared)
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
	got := b.post("/bench/cautions", formOf(t, body, "/bench/cautions", nil))
	require.Equal(t, path, got.path)
	require.NotContains(t, got.body, "Before you begin")
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
