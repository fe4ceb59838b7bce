package store_test

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/access"
	"scumble/internal/photos"
	"scumble/internal/restoration"
	"scumble/internal/store/storetest"
)

// picture is a photo of 64 × 48 pixels, all of one grey.
func picture(t testing.TB, grey uint8) photos.Photo {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, 64, 48))
	for i := range img.Pix {
		img.Pix[i] = color.Gray{grey}.Y
	}
	var file bytes.Buffer
	require.NoError(t, jpeg.Encode(&file, img, nil))
	p, err := photos.NewIntake().Take(t.Context(), file.Bytes())
	require.NoError(t, err)
	return p
}

// photo enters a photo of a piece.
func (h house) photo(t testing.TB, piece restoration.ID) restoration.Event {
	t.Helper()
	e := h.entry(restoration.KindPhoto, restoration.ID{})
	e.PieceID = piece
	out, err := h.EnterPhoto(t.Context(), e, picture(t, 90))
	require.NoError(t, err)
	require.Equal(t, restoration.Applied, out.Result, out.Reason)
	return e
}

func (h house) photos(t testing.TB, f restoration.PhotoFilter) []restoration.PiecePhoto {
	t.Helper()
	list, err := h.Photos(t.Context(), f)
	require.NoError(t, err)
	return list
}

func TestAPhotoIsKeptWithItsEntry(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	p := h.onePiece(t, "26-014")
	h.mustEnter(t, h.tick(p.Steps[0], 45))
	e := h.entry(restoration.KindPhoto, restoration.ID{})
	e.PieceID, e.Note = p.ID, "before the primer"
	pic := picture(t, 90)
	for range 2 { // a tablet sends until it is answered
		out, err := h.EnterPhoto(ctx, e, pic)
		require.NoError(t, err)
		require.Equal(t, restoration.Applied, out.Result, out.Reason)
	}
	list := h.photos(t, restoration.PhotoFilter{PieceID: p.ID})
	require.Len(t, list, 1)
	require.Equal(t, restoration.PiecePhoto{EventID: e.ID, CarID: p.CarID, PieceID: p.ID, Photo: pic.ID.String(), Stage: "stripped", Pass: 1,
		At: h.clock.Now(), PersonID: h.owner.ID, Note: "before the primer", Piece: "Ash tray", StageName: "Stripped",
		PhotoSize: restoration.PhotoSize{Width: 64, Height: 48, SmallWidth: 64, SmallHeight: 48},
		StageLook: restoration.LookStripped, Position: 0, Person: h.owner.Name}, list[0])
	large, err := h.FindPicture(ctx, pic.ID, false)
	require.NoError(t, err)
	require.Equal(t, pic.Large.JPEG, large)
	small, err := h.FindPicture(ctx, pic.ID, true)
	require.NoError(t, err)
	require.Equal(t, pic.Small.JPEG, small)
	_, err = h.FindPicture(ctx, picture(t, 10).ID, false)
	requireTrouble(t, err, restoration.TroubleNotFound, "", "no such photo")

	out, err := h.EnterPhoto(ctx, e, picture(t, 20))
	require.NoError(t, err)
	require.Contains(t, out.Reason, "already used", "the same id with another picture")
	h.requireSound(t)
}

func TestTheSamePictureTwiceIsKeptOnce(t *testing.T) {
	t.Parallel()
	url := storetest.URL(t)
	h := houseAt(t, url)
	p := h.onePiece(t, "26-014")
	h.photo(t, p.ID)
	h.photo(t, p.ID)
	require.Len(t, h.photos(t, restoration.PhotoFilter{PieceID: p.ID}), 2)
	var n int
	require.NoError(t, storetest.Superuser(t, url).QueryRow(t.Context(), `SELECT count(*) FROM photos`).Scan(&n))
	require.Equal(t, 1, n)
	h.requireSound(t)
}

func TestPhotosThatAreRefused(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	p := h.onePiece(t, "26-014")
	gone := h.entry(restoration.KindPhoto, restoration.ID{})
	gone.PieceID, gone.Photo = p.ID, picture(t, 90).ID.String()
	require.Contains(t, h.enter(t, gone)[0].Reason, "picture of this photo did not come")
	bare := h.entry(restoration.KindPhoto, restoration.ID{})
	bare.PieceID = p.ID
	require.Contains(t, h.enter(t, bare)[0].Reason, "no picture")

	remove := h.entry(restoration.KindRemove, restoration.ID{})
	remove.PieceID = p.ID
	h.mustEnter(t, remove)
	late := h.entry(restoration.KindPhoto, restoration.ID{})
	late.PieceID = p.ID
	pic := picture(t, 30)
	out, err := h.EnterPhoto(t.Context(), late, pic)
	require.NoError(t, err)
	require.Contains(t, out.Reason, "taken off the car's list")
	_, err = h.FindPicture(t.Context(), pic.ID, true)
	require.NoError(t, err, "what was refused is not lost")
	require.Empty(t, h.photos(t, restoration.PhotoFilter{CarID: p.CarID}))
	require.Len(t, h.history(t, restoration.HistoryFilter{RefusedOpen: true}), 3)
	h.requireSound(t)
}

func TestTheCustomerSeesWhatWasChosen(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	p, other := h.onePiece(t, "26-014"), h.onePiece(t, "26-015")
	token, pic := access.HashToken("a token"), picture(t, 90)
	link, err := h.AddLink(ctx, h.by, restoration.Link{CarID: p.CarID, ExpiresAt: h.clock.Now().AddDate(0, 6, 0)}, token)
	require.NoError(t, err)
	theirs := access.HashToken("another token")
	_, err = h.AddLink(ctx, h.by, restoration.Link{CarID: other.CarID, ExpiresAt: h.clock.Now().AddDate(0, 6, 0)}, theirs)
	require.NoError(t, err)
	id := h.photo(t, p.ID).ID
	h.photo(t, other.ID) // of the same picture
	shared := restoration.PhotoFilter{CarID: p.CarID, Shared: true}
	opens := func(token []byte) bool {
		_, err := h.FindSharedPicture(ctx, token, pic.ID, true)
		if err != nil {
			requireTrouble(t, err, restoration.TroubleNotFound, "", noPhotoSays)
		}
		return err == nil
	}
	require.False(t, opens(token), "off by default")
	require.Empty(t, h.photos(t, shared))

	require.NoError(t, h.ShowPhoto(ctx, h.by, id, true))
	require.NoError(t, h.ShowPhoto(ctx, h.by, id, true))
	require.Equal(t, 1, h.count(t, "show photo"), "twice is once")
	require.True(t, opens(token))
	require.Len(t, h.photos(t, shared), 1)
	require.False(t, opens(theirs), "of another car")
	require.False(t, opens(access.HashToken("none")))

	require.NoError(t, h.RemovePhoto(ctx, h.by, id))
	require.False(t, opens(token), "taken away")
	requireTrouble(t, h.ShowPhoto(ctx, h.by, id, true), restoration.TroubleConflict, "", "Bring it back first")
	require.Len(t, h.photos(t, restoration.PhotoFilter{PieceID: p.ID, Removed: true}), 1)
	require.NoError(t, h.RestorePhoto(ctx, h.by, id))
	require.False(t, opens(token), "it comes back unseen")
	require.NoError(t, h.ShowPhoto(ctx, h.by, id, true))
	require.True(t, opens(token))

	remove, restore := h.entry(restoration.KindRemove, restoration.ID{}), h.entry(restoration.KindRestore, restoration.ID{})
	remove.PieceID, restore.PieceID = p.ID, p.ID
	h.mustEnter(t, remove)
	require.False(t, opens(token), "the piece is off the list")
	h.mustEnter(t, restore)
	require.True(t, opens(token))
	require.NoError(t, h.RevokeLink(ctx, h.by, link.ID))
	require.False(t, opens(token), "the link is shut")
	h.requireSound(t)
}

const noPhotoSays = "no such photo"

func TestARemovedPhotoComesBackForThirtyDays(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	id := h.photo(t, h.onePiece(t, "26-014").ID).ID
	require.NoError(t, h.RestorePhoto(ctx, h.by, id), "nothing to bring back")
	require.NoError(t, h.RemovePhoto(ctx, h.by, id))
	h.clock.advance(restoration.UndoDays*24*time.Hour - time.Second)
	require.NoError(t, h.RestorePhoto(ctx, h.by, id))
	require.NoError(t, h.RemovePhoto(ctx, h.by, id))
	require.NoError(t, h.RemovePhoto(ctx, h.by, id))
	h.clock.advance(restoration.UndoDays * 24 * time.Hour)
	requireTrouble(t, h.RestorePhoto(ctx, h.by, id), restoration.TroubleConflict, "", "more than 30 days ago")
	requireTrouble(t, h.RemovePhoto(ctx, h.by, newID()), restoration.TroubleNotFound, "", noPhotoSays)
	require.Equal(t, 2, h.count(t, "remove photo"))
}

func TestVerifyFindsDamagedPhotos(t *testing.T) {
	t.Parallel()
	url := storetest.URL(t)
	h := houseAt(t, url)
	id := h.photo(t, h.onePiece(t, "26-014").ID).ID
	require.NoError(t, h.ShowPhoto(t.Context(), h.by, id, true))
	h.requireSound(t)
	h.requireFound(t, url, []damage{
		{"stage of a photo", `UPDATE piece_photos SET stage = 'cut'`, `UPDATE piece_photos SET stage = ''`, `stage is stored as "cut", the ledger gives ""`},
		{"hour of a photo", `UPDATE piece_photos SET at = at - interval '1 hour'`, `UPDATE piece_photos SET at = at + interval '1 hour'`, `at is stored as`},
		{"a photo too few", `CREATE TABLE aside AS SELECT * FROM piece_photos; DELETE FROM piece_photos`,
			`INSERT INTO piece_photos SELECT * FROM aside; DROP TABLE aside`, `is told by the ledger, but is not stored`},
		{"an entry too few", `CREATE TABLE aside AS SELECT * FROM shop_events WHERE kind = 'photo'; DELETE FROM shop_events WHERE kind = 'photo'`,
			`INSERT INTO shop_events OVERRIDING SYSTEM VALUE SELECT * FROM aside; DROP TABLE aside`, `is stored, but the ledger doesn't tell of it`},
	})
}
