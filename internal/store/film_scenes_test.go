package store_test

import (
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/colour"
	"scumble/internal/restoration"
)

// What is loaded of many pieces at once is what is loaded of each alone: of two cars,
// with and without a scheme, a set and another, and other people's ground.
func TestScenesOfManyAreThoseOfEach(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	ground, tom := h.material(t, "Example ground, one-part"), h.technician(t, "Tom")
	tins := []restoration.Lot{h.lot(t, ground, "G-1"), h.lot(t, ground, "G-2")}
	var ids []restoration.ID
	for c, name := range []string{"26-014", "26-015"} {
		var list []restoration.NewPiece
		for i, set := range []string{"Front", "Front", "front", ""} {
			list = append(list, restoration.NewPiece{Details: restoration.Details{Name: "Strip", Zone: restoration.ZoneFront, Place: strconv.Itoa(i + 1), Set: set, AreaM2: .1, BothM2: .2,
				Size: restoration.SizeMedium, Mounting: restoration.MountBench, Metal: "steel"}})
		}
		list[1].Scheme = "Dark"
		car, err := h.NewCar(t.Context(), h.by, restoration.Car{WorkOrder: name, Name: "1936 Brennick Eight", Quality: restoration.QualityShow, Ground: "#9a6a3c", Grain: "#3b2413"}, list)
		require.NoError(t, err)
		if c == 0 {
			for _, scheme := range []string{"", "dark"} {
				_, err = h.SaveScheme(t.Context(), h.by, restoration.StockScheme(car.ID, scheme))
				require.NoError(t, err)
			}
		}
		for i, p := range h.pieces(t, car) {
			ids = append(ids, p.ID)
			p = h.upTo(t, p.ID, restoration.LookGrounded)
			e := h.entry(restoration.KindCoat, p.Sum.NextStep)
			e.PersonID = []int64{h.owner.ID, tom.ID}[i%2]
			e.Reason, e.Checks = "as the owner said", []string{restoration.CheckScuffed, restoration.CheckSure}
			e.Coat = &restoration.Coat{Number: 1, Material: ground.ID, Lots: []restoration.LotUse{{Lot: tins[i/2].ID}}, ML: 30}
			lab := h.entry(restoration.KindReading, restoration.ID{})
			lab.PieceID, lab.Reading = p.ID, &restoration.Reading{Kind: restoration.ReadColour, Lab: &colour.Lab{L: 40 + float64(i), A: 14, B: 22}}
			h.mustEnter(t, e, lab)
		}
	}
	ofSet := func() []colour.Sample {
		scene, err := h.FilmScene(t.Context(), ids[1])
		require.NoError(t, err)
		return scene.Colours
	}
	require.Len(t, ofSet(), 1)
	back := h.entry(restoration.KindSendBack, restoration.ID{})
	back.PieceID, back.Stage, back.Defect = ids[0], "grounded", "colour-off"
	h.mustEnter(t, back)
	require.Empty(t, ofSet(), "the ground that was read is gone")

	sensor, err := h.AddSensor(t.Context(), h.by, "Booth", []byte("0123456789abcdef0123456789abcdef"))
	require.NoError(t, err)
	_, err = h.RecordAir(t.Context(), sensor.ID, []restoration.AirReading{{At: h.clock.Now().Add(-time.Minute), AirC: 21, Humidity: 50}})
	require.NoError(t, err)

	scenes, err := h.FilmScenes(t.Context(), append([]restoration.ID{newID()}, ids...))
	require.NoError(t, err)
	require.Len(t, scenes, len(ids), "one that is gone is left out")
	for _, got := range scenes {
		require.Equal(t, h.piece(t, got.Piece.ID), got.Piece)
		want, err := h.FilmScene(t.Context(), got.Piece.ID)
		require.NoError(t, err)
		require.NotEmpty(t, want.Car)
		require.NotEmpty(t, want.Deeds)
		require.NotNil(t, want.Air)
		require.ElementsMatch(t, want.Car, got.Scene.Car)
		require.ElementsMatch(t, want.Colours, got.Scene.Colours)
		require.Empty(t, want.Lots)
		want.Lots, want.Car, want.Colours, got.Scene.Car, got.Scene.Colours = nil, nil, nil, nil, nil
		require.Equal(t, want, got.Scene)
	}
	none, err := h.FilmScenes(t.Context(), nil)
	require.NoError(t, err)
	require.Empty(t, none)
}
