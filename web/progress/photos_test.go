package progress_test

import (
	"bytes"
	"image"
	"image/jpeg"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"scumble/internal/access"
	"scumble/internal/photos"
	"scumble/internal/restoration"
	"scumble/internal/store"
)

// photograph enters a photo of a piece, all of one grey, and gives entry and picture.
func photograph(t *testing.T, s *store.Store, piece restoration.ID, grey uint8, at time.Time) (restoration.ID, string) {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, 64, 48))
	for i := range img.Pix {
		img.Pix[i] = grey
	}
	var file bytes.Buffer
	require.NoError(t, jpeg.Encode(&file, img, nil))
	photo, err := photos.NewIntake().Take(t.Context(), file.Bytes())
	require.NoError(t, err)
	e := restoration.Event{ID: restoration.ID(uuid.Must(uuid.NewV7())), Kind: restoration.KindPhoto, PieceID: piece, At: at,
		Payload: restoration.Payload{Note: "note for the shop"}}
	out, err := s.EnterPhoto(t.Context(), e, photo)
	require.NoError(t, err)
	require.Equal(t, restoration.Applied, out.Result, out.Reason)
	return e.ID, photo.ID.String()
}

func TestTheCustomerSeesTheChosenPhotos(t *testing.T) {
	t.Parallel()
	s, h, token := linked(t)
	pieces, err := s.CarPieces(t.Context(), 1)
	require.NoError(t, err)
	now := time.Now()
	old, oldPicture := photograph(t, s, pieces[0].ID, 10, now.Add(-49*time.Hour))
	fresh, freshPicture := photograph(t, s, pieces[0].ID, 90, now.Add(-time.Hour))
	_, kept := photograph(t, s, pieces[0].ID, 200, now)
	require.NotContains(t, get(h, "/p/"+token).Body.String(), "/photos/")
	for _, id := range []restoration.ID{old, fresh} {
		require.NoError(t, s.ShowPhoto(t.Context(), restoration.Actor{}, id, true))
	}
	body := get(h, "/p/"+token).Body.String()
	require.Contains(t, body, "as it came to the shop")
	require.Contains(t, body, now.Add(-49*time.Hour).UTC().Format("Mon 2 Jan 2006"))
	require.Less(t, strings.Index(body, freshPicture), strings.Index(body, oldPicture), "the newest first")
	for _, hidden := range []string{kept, "note for the shop", old.String()} {
		require.NotContains(t, body, hidden)
	}

	for _, size := range []string{"", "/small"} {
		w := get(h, "/p/"+token+"/photos/"+freshPicture+size)
		require.Equal(t, http.StatusOK, w.Code)
		require.Equal(t, "image/jpeg", w.Header().Get("Content-Type"))
		require.Equal(t, "nosniff", w.Header().Get("X-Content-Type-Options"))
		require.Equal(t, "no-store", w.Header().Get("Cache-Control"))
		require.Contains(t, w.Header().Get("X-Robots-Tag"), "noindex")
		require.Empty(t, w.Header().Values("Set-Cookie"))
		_, err := jpeg.Decode(w.Body)
		require.NoError(t, err)
	}
	links, err := s.Links(t.Context(), 1)
	require.NoError(t, err)
	require.Equal(t, 2, links[0].Views, "a picture is no view")
}

// What the customer may not see, or not any more, is one and the same 404.
func TestEveryWrongPictureLooksTheSame(t *testing.T) {
	t.Parallel()
	s, h, token := linked(t)
	pieces, err := s.CarPieces(t.Context(), 1)
	require.NoError(t, err)
	other, err := s.NewCar(t.Context(), restoration.Actor{}, restoration.Car{Name: "1949 Larkhall Ten"},
		[]restoration.NewPiece{{Details: restoration.Details{Name: "Ash tray", Zone: restoration.ZoneFront}}})
	require.NoError(t, err)
	theirs, err := s.CarPieces(t.Context(), other.ID)
	require.NoError(t, err)
	event, picture := photograph(t, s, pieces[0].ID, 10, time.Now())
	foreign, foreignPicture := photograph(t, s, theirs[0].ID, 90, time.Now())
	require.NoError(t, s.ShowPhoto(t.Context(), restoration.Actor{}, foreign, true))
	nothing := get(h, "/p/nothing")
	same := func(path, why string) {
		t.Helper()
		w := get(h, path)
		require.Equal(t, http.StatusNotFound, w.Code, why)
		require.Equal(t, nothing.Body.String(), w.Body.String(), why)
		require.Equal(t, nothing.Header(), w.Header(), why)
	}
	own := "/p/" + token + "/photos/" + picture
	same(own, "not flagged")
	same("/p/"+token+"/photos/"+foreignPicture, "of another car")
	same("/p/"+token+"/photos/"+strings.Repeat("0", 64), "no such picture")
	same("/p/"+token+"/photos/x", "no id")
	same("/p/nothing/photos/"+foreignPicture, "no such link")
	require.NoError(t, s.ShowPhoto(t.Context(), restoration.Actor{}, event, true))
	require.Equal(t, http.StatusOK, get(h, own).Code)
	require.NoError(t, s.ShowPhoto(t.Context(), restoration.Actor{}, event, false))
	same(own, "no longer flagged")
	require.NoError(t, s.ShowPhoto(t.Context(), restoration.Actor{}, event, true))
	_, err = s.AddLink(t.Context(), restoration.Actor{}, restoration.Link{CarID: other.ID, ExpiresAt: time.Now().Add(time.Hour)}, access.HashToken("theirs"))
	require.NoError(t, err)
	same("/p/theirs/photos/"+picture, "by another car's link")
	links, err := s.Links(t.Context(), 1)
	require.NoError(t, err)
	require.NoError(t, s.RevokeLink(t.Context(), restoration.Actor{}, links[0].ID))
	same(own, "the link is shut")
}
