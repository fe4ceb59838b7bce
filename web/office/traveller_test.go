package office

import (
	"maps"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

func TestTravellerOfAPiece(t *testing.T) {
	t.Parallel()
	w := opened(t, "Door capping", restoration.Details{Zone: restoration.ZoneLeft, Place: "2", Set: "doors"})
	w.ticks(3, noon)
	w.does(restoration.Event{Kind: restoration.KindSendBack, PersonID: 7, Payload: restoration.Payload{Defect: "pinholes", Stage: "primed"}})
	pinholes := w.last
	paint := carPaint{back: defectsBySteps([]restoration.Entry{{Event: pinholes}})}
	card, err := testView().traveller(w.Piece, paint, "https://shop.example")
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
	require.Equal(t, "7 Mar 2026", rows["Stripped"].Done)
	require.Equal(t, "Ida Marl", rows["Stripped"].By)
	require.Equal(t, 1, rows["Stripped"].Pass)
	require.Equal(t, 2, rows["Primed"].Pass)
	require.Empty(t, rows["Primed"].Done)
	require.Equal(t, "Pinholes", rows["Primed"].Defect)
	require.Empty(t, rows["Grounded"].Defect, "said once, where the piece went back to")
	for _, c := range card.Cautions {
		require.NotContains(t, c.Stages, "Stripped", "done already")
	}
}

// The card holds for the day the server is down: what to spray, how often, and the floor.
func TestTravellerTellsTheRecipe(t *testing.T) {
	t.Parallel()
	paint := carPaint{materials: []restoration.Material{{ID: 3, Material: coating.Material{Name: "Clear, two-part"}}, {ID: 4, Material: coating.Material{Name: "Ground, ochre"}}},
		schemes: map[string]restoration.Scheme{"dark walnut": {ClearCoats: 5, BuildUM: 140, FloorUM: 60, Materials: map[coating.Layer]int64{coating.Clear: 3, coating.Ground: 4}}}}
	for name, c := range map[string]struct {
		scheme string
		units  restoration.Units
		want   map[string]string
	}{
		"own":    {"Dark Walnut", restoration.Metric, map[string]string{"Ground": "Ground, ochre", "Clear": "Clear, two-part · 5 coats", "Clear before cutting": "140 µm, floor 60 µm"}},
		"in mil": {"Dark Walnut", restoration.US, map[string]string{"Ground": "Ground, ochre", "Clear": "Clear, two-part · 5 coats", "Clear before cutting": "5.51 mil, floor 2.36 mil"}},
		"stock":  {"", restoration.Metric, map[string]string{"Clear": "4 coats", "Clear before cutting": "120 µm, floor 50 µm"}},
	} {
		w := opened(t, "Door capping", restoration.Details{Scheme: c.scheme})
		got := map[string]string{}
		for _, f := range paint.recipe(w.Piece, c.units) {
			if f.Text != "" {
				got[f.Term] = f.Text
			}
		}
		require.Equal(t, c.want, got, name)
	}
}

// Every caution of every stage ahead stands on the card, once; so does what the materials
// of the piece's scheme bring, and no other's.
func TestTravellerTellsEveryCaution(t *testing.T) {
	t.Parallel()
	w := opened(t, "Door capping", restoration.Details{Scheme: "Dark Walnut"})
	sheet := func(id int64, kind coating.Kind, isocyanate bool, says string) restoration.Material {
		return restoration.Material{ID: id, Material: coating.Material{Kind: kind, Isocyanate: isocyanate, Cautions: []string{says}}}
	}
	paint := carPaint{materials: []restoration.Material{sheet(1, coating.Ground1K, false, "Keep from frost"), sheet(2, coating.Clear2K, true, "Not under 15 °C.")},
		schemes: map[string]restoration.Scheme{"": {Materials: map[coating.Layer]int64{coating.Clear: 2}}, "dark walnut": {Materials: map[coating.Layer]int64{coating.Ground: 1}}}}
	list := paint.cautionsAhead(w.Piece, stock())
	said := map[string]string{}
	for _, c := range list {
		require.NotEmpty(t, c.Stages)
		require.NotContains(t, slices.Collect(maps.Values(said)), c.Stages, "what belongs together stands together")
		for _, text := range c.Texts {
			require.NotContains(t, said, text, "once")
			said[text] = c.Stages
		}
	}
	for _, s := range w.Steps {
		stage, _ := stock().Stage(s.Stage)
		for _, c := range restoration.CautionsFor(stage, nil) {
			if c.Key != "isocyanate-unsure" {
				require.Contains(t, said, restoration.BenchCaution(c.Text))
			}
		}
	}
	require.Equal(t, "Grounded", said["Keep from frost."])
	require.NotContains(t, said, "Not under 15 °C.", "another scheme's")
	for text, stages := range said {
		if strings.Contains(text, "holds isocyanate") {
			require.Equal(t, "Primed, cleared", stages, "the ground is a one-part one")
		}
	}
	require.NotEmpty(t, carPaint{}.cautionsAhead(w.Piece, stock()), "without a scheme those of the stages stand")
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
