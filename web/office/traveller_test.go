package office

import (
	"net/http"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestTravellerOfAPiece(t *testing.T) {
	t.Parallel()
	w := opened(t, "Door capping", restoration.Details{Zone: restoration.ZoneLeft, Place: "2", Set: "doors"})
	w.ticks(3, noon)
	w.does(restoration.Event{Kind: restoration.KindSendBack, PersonID: 7, Payload: restoration.Payload{Defect: "pinholes", Stage: "primed"}})
	card, err := testView().traveller(w.Piece, "https://shop.example")
	require.NoError(t, err)
	require.Equal(t, "Door capping", card.Piece)
	require.Equal(t, "left · place 2", card.Where)
	require.Equal(t, "X X X X X", card.Code)
	require.Equal(t, "https://shop.example/bench/find?code=XXXXX", card.QR.Text)
	rows := map[string]travellerRow{}
	for _, r := range card.Rows {
		require.NotContains(t, rows, r.Stage, "each stage once: what was superseded is history")
		rows[r.Stage] = r
	}
	require.Equal(t, "7 Mar 2026 · Ida Marl", rows["Stripped"].Done, "who and when")
	require.Equal(t, 1, rows["Stripped"].Pass)
	require.Equal(t, 2, rows["Primed"].Pass)
	require.Empty(t, rows["Primed"].Done)
	for _, c := range card.Cautions {
		require.NotContains(t, c.Stages, "Stripped", "done already")
	}
}

// Every caution of every stage ahead stands on the card, once.
func TestTravellerTellsEveryCaution(t *testing.T) {
	t.Parallel()
	w := opened(t, "Door capping", restoration.Details{})
	said := map[string]int{}
	for _, c := range cautionsAhead(w.Piece, stock()) {
		said[c.Text]++
		require.NotEmpty(t, c.Stages)
	}
	for _, s := range w.Steps {
		stage, _ := stock().Stage(s.Stage)
		for _, c := range restoration.CautionsFor(stage, nil) {
			require.Equal(t, 1, said[c.Text], c.Text)
		}
	}
	require.Greater(t, len(said), 3)
}

func TestTravellersPage(t *testing.T) {
	t.Parallel()
	f, path, pieces := printable(t, 3)
	f.tick(pieces[0], 1, f.ida, noon.Add(-time.Hour))
	p := f.page(path + "/travellers?card=letter").text()
	require.Contains(t, p, pieces[0].Name)
	require.Contains(t, p, "Ida Marl")
	require.Contains(t, p, "Dark walnut")
	require.Contains(t, p, restoration.CautionCloses)
	require.Contains(t, p, "3 cards")
	a := f.get(path + "/travellers?card=parchment")
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, "Choose one of those listed")
	require.Equal(t, http.StatusUnprocessableEntity, f.get(path+"/travellers?start=1").code)
}
