package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/store/storetest"
	"scumble/migrations"
)

func (h house) place(t testing.TB, name string, holds int) restoration.Place {
	t.Helper()
	p, err := h.AddPlace(t.Context(), h.by, restoration.Place{Name: name, Kind: restoration.PlaceRack, Holds: holds})
	require.NoError(t, err)
	return p
}

// fit says how a place holds an ash tray from a saloon.
func (h house) fit(t testing.TB, p restoration.Place, well bool) {
	t.Helper()
	require.NoError(t, h.SayFit(t.Context(), h.by, p.ID, "Ash tray", "saloon", &well))
}

// move is an entry that puts a piece somewhere.
func (h house) move(piece restoration.ID, to string) restoration.Event {
	return restoration.Event{ID: newID(), Kind: restoration.KindMove, PieceID: piece, PersonID: h.owner.ID, At: h.clock.Now(), Payload: restoration.Payload{Place: to}}
}

func (h house) use(t testing.TB, id int64) restoration.PlaceUse {
	t.Helper()
	all, err := h.PlaceUses(t.Context())
	require.NoError(t, err)
	for _, u := range all {
		if u.ID == id {
			return u
		}
	}
	require.Fail(t, "no such place")
	return restoration.PlaceUse{}
}

func TestAPlaceFromFirstToLast(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	rack := h.place(t, "  Rack  A ", 2)
	require.Equal(t, restoration.Place{ID: rack.ID, Name: "Rack A", Kind: restoration.PlaceRack, Holds: 2, Code: rack.Code, CreatedAt: h.clock.Now()}, rack)
	found, err := h.FindPlaceByCode(ctx, rack.Code)
	require.NoError(t, err)
	require.Equal(t, rack, found)
	_, err = h.AddPlace(ctx, h.by, restoration.Place{Name: "rack a", Kind: restoration.PlaceRack})
	requireTrouble(t, err, restoration.TroubleConflict, "name", "place of that name")
	_, err = h.AddPlace(ctx, h.by, restoration.Place{Name: "Rack B", Kind: "cellar"})
	requireTrouble(t, err, restoration.TroubleInvalid, "kind", "what the place is")
	_, err = h.FindPlace(ctx, 4711)
	requireTrouble(t, err, restoration.TroubleNotFound, "", "no such place")
	requireTrouble(t, h.EditPlace(ctx, h.by, restoration.Place{ID: 4711, Name: "X", Kind: restoration.PlaceRack}), restoration.TroubleNotFound, "", "no such place")

	for range 2 {
		require.NoError(t, h.RetirePlace(ctx, h.by, rack.ID))
	}
	_, err = h.FindPlaceByCode(ctx, rack.Code)
	requireTrouble(t, err, restoration.TroubleNotFound, "", "no place in use")
	requireTrouble(t, h.EditPlace(ctx, h.by, rack), restoration.TroubleNotFound, "", "no such place")
	other := h.place(t, "Rack A", 0)
	requireTrouble(t, h.RestorePlace(ctx, h.by, rack.ID), restoration.TroubleConflict, "name", "place of that name")
	require.NoError(t, h.RetirePlace(ctx, h.by, other.ID))
	for range 2 {
		require.NoError(t, h.RestorePlace(ctx, h.by, rack.ID))
	}
	require.Equal(t, rack.Code, h.use(t, rack.ID).Code, "its label still counts")
	h.clock.advance(restoration.UndoDays * 24 * time.Hour)
	requireTrouble(t, h.RestorePlace(ctx, h.by, other.ID), restoration.TroubleConflict, "", "Add it anew")
}

// A move is never refused for its place: a full one is warned of in the ledger, and a name
// that is none is kept as it is.
func TestMovesToPlaces(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	rack := h.place(t, "Rack A", 1)
	pieces := h.pieces(t, h.car(t, "26-014", "1936 Brennick Eight", "", "Ash tray", "Radio bezel", "Glove-box door"))
	h.mustEnter(t, h.move(pieces[0].ID, "rack a"))
	require.Equal(t, []int{1, 1}, []int{h.use(t, rack.ID).Lying, h.use(t, rack.ID).Moves})
	again := h.move(pieces[0].ID, "Rack A")
	full := h.move(pieces[1].ID, "Rack A")
	h.mustEnter(t, again, full, full, h.move(pieces[2].ID, "under the stairs"))
	warned := func(id restoration.ID) []string {
		for _, e := range h.history(t, restoration.HistoryFilter{}) {
			if e.Event.ID == id && e.Event.Facts != nil {
				return e.Event.Facts.Warnings
			}
		}
		return nil
	}
	require.Empty(t, warned(again.ID), "it lay there alone")
	require.Equal(t, []string{"Rack A is full: 2 of 1 with this one."}, warned(full.ID))
	require.Equal(t, "under the stairs", h.piece(t, pieces[2].ID).LiesAt)
	require.Equal(t, 2, h.use(t, rack.ID).Lying)

	rack.Name = "Rack Q"
	require.NoError(t, h.EditPlace(ctx, h.by, rack))
	at, err := h.LyingAt(ctx, "RACK Q")
	require.NoError(t, err)
	require.Len(t, at, 2, "what lies there goes with the name")
	require.Equal(t, "Rack Q", h.piece(t, pieces[0].ID).LiesAt)
	require.Equal(t, restoration.KindMove, h.history(t, restoration.HistoryFilter{PieceID: pieces[0].ID, Limit: 1})[0].Event.Kind)
	h.mustVerify(t)
}

func (h house) mustVerify(t testing.TB) {
	t.Helper()
	differences, err := h.Verify(t.Context())
	require.NoError(t, err)
	require.Empty(t, differences)
}

func TestWhatLiesWhere(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	pieces := h.pieces(t, h.car(t, "26-014", "1936 Brennick Eight", "", "Ash tray", "Radio bezel"))
	begun := h.clock.Now()
	h.clock.advance(time.Hour)
	moved := h.clock.Now()
	h.mustEnter(t, h.move(pieces[1].ID, "Rack A"))
	h.clock.advance(time.Hour)
	h.mustEnter(t, restoration.Event{ID: newID(), Kind: restoration.KindNote, PieceID: pieces[1].ID, PersonID: h.owner.ID, At: h.clock.Now(), Payload: restoration.Payload{Note: "seen"}})
	list, err := h.Lying(ctx)
	require.NoError(t, err)
	require.Equal(t, []restoration.ID{pieces[1].ID, pieces[0].ID}, []restoration.ID{list[0].PieceID, list[1].PieceID})
	require.Equal(t, []time.Time{moved, h.clock.Now()}, []time.Time{list[0].Since, list[0].Seen})
	require.Equal(t, []time.Time{begun, begun}, []time.Time{list[1].Since, list[1].Seen}, "since it came on the list")
	require.Equal(t, "26-014", list[0].Car.WorkOrder)
	require.Equal(t, "Radio bezel", list[0].Details.Title())
	at, err := h.LyingAt(ctx, "")
	require.NoError(t, err)
	require.Empty(t, at)
	h.mustEnter(t, restoration.Event{ID: newID(), Kind: restoration.KindRemove, PieceID: pieces[1].ID, PersonID: h.owner.ID, At: h.clock.Now()})
	at, err = h.LyingAt(ctx, "Rack A")
	require.NoError(t, err)
	require.Empty(t, at, "it is on no list")
}

func TestFits(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	rack, jig := h.place(t, "Rack A", 2), h.place(t, "Jig", 1)
	h.fit(t, rack, true)
	h.fit(t, jig, true)
	well := false
	require.NoError(t, h.SayFit(ctx, h.by, rack.ID, "ASH tray", "Saloon", &well), "the last word counts")
	fits, err := h.PlaceFits(ctx, rack.ID)
	require.NoError(t, err)
	require.Equal(t, []restoration.PlaceFit{{PlaceID: rack.ID, Piece: "ASH tray", Body: "Saloon", Person: h.owner.Name, At: h.clock.Now()}}, fits)
	all, err := h.PlaceFits(ctx, 0)
	require.NoError(t, err)
	require.Len(t, all, 2)
	require.NoError(t, h.SayFit(ctx, h.by, rack.ID, "ash tray", "saloon", nil))
	fits, err = h.PlaceFits(ctx, rack.ID)
	require.NoError(t, err)
	require.Empty(t, fits)
	requireTrouble(t, h.SayFit(ctx, h.by, 4711, "Ash tray", "", &well), restoration.TroubleNotFound, "", "no such place")
}

// The migration takes the names in use over, each once in any case, with codes that check.
func TestNamesInUseBecomePlaces(t *testing.T) {
	t.Parallel()
	ctx, url := t.Context(), storetest.URL(t)
	h := houseAt(t, url)
	pieces := h.pieces(t, h.car(t, "26-014", "1936 Brennick Eight", "", "Ash tray", "Radio bezel", "Glove-box door", "Sill rail"))
	for i, at := range []string{"Rack 2, hook 1", "rack 2, Hook 1", "Attic"} {
		h.mustEnter(t, h.move(pieces[i].ID, at))
	}
	super := storetest.Superuser(t, url)
	for _, file := range []string{"000009_places.down.sql", "000009_places.up.sql"} {
		sql, err := migrations.FS.ReadFile(file)
		require.NoError(t, err)
		_, err = super.Exec(ctx, string(sql))
		require.NoError(t, err)
	}
	uses, err := h.PlaceUses(ctx)
	require.NoError(t, err)
	require.Len(t, uses, 2)
	require.Equal(t, []int{1, 2}, []int{uses[0].Lying, uses[1].Lying})
	for _, u := range uses {
		require.Equal(t, restoration.PlaceOther, u.Kind)
		require.Zero(t, u.Holds)
		code, err := restoration.CheckAnyCode(u.Code)
		require.NoError(t, err)
		require.True(t, restoration.IsPlaceCode(code))
	}
}
