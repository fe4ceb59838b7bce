package bench

import (
	"context"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/photos"
	"scumble/internal/restoration"
)

// noPictures is a shop that can be kept from taking photos in.
type noPictures struct {
	Shop
	away atomic.Bool
}

func (s *noPictures) EnterPhoto(ctx context.Context, e restoration.Event, p photos.Photo) (restoration.Outcome, error) {
	if s.away.Load() {
		return restoration.Outcome{}, errAway
	}
	return s.Shop.EnterPhoto(ctx, e, p)
}

// choose puts files into the page's input, as a camera does.
const choose = `window.choose = (...files) => {
	const input = document.querySelector("#photo"), list = new DataTransfer();
	for (const f of files) list.items.add(f);
	input.files = list.files;
	input.dispatchEvent(new Event("change"));
};
window.shot = (w, h) => new Promise((done) => {
	const c = document.createElement("canvas");
	c.width = w; c.height = h;
	c.getContext("2d").fillRect(0, 0, w / 2, h);
	c.toBlob((b) => done(new File([b], "IMG_4711.JPG", { type: "image/jpeg" })), "image/jpeg");
});`

const (
	queue   = `[...document.querySelectorAll("[data-photo-queue] span")].map(s => s.textContent).join("|")`
	waiting = `(b => b && !b.hidden ? b.textContent : "")(document.querySelector("[data-photos-saved]"))`
)

// photosTab opens the page of a piece's photos, in front of a shop that may be away.
func photosTab(t *testing.T) (*testShop, *noPictures, *tab, string) {
	t.Helper()
	s := setup(t)
	shop := &noPictures{Shop: s.store}
	s.serve(shop, s.store.Sessions())
	b := newTab(t, s)
	b.Go("/bench/enrol")
	b.enrol()
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID) + photosPath
	b.openPhotos(path)
	return s, shop, b, path
}

func (b *tab) openPhotos(path string) {
	b.Go(path)
	b.Await(`document.querySelector("form.live") !== null`)
	b.Run(choose)
}

func TestSeveralPhotosAreShrunkAndSent(t *testing.T) {
	t.Parallel()
	s, _, b, path := photosTab(t)
	b.Fill("#note", "lower edge")
	b.Run(`Promise.all([shot(3000, 1500), shot(300, 200)]).then((files) => choose(...files))`)
	b.Sees("sent|sent", queue)
	list := s.photos("Ash tray")
	require.Len(t, list, 2)
	widths := map[int]bool{}
	for _, p := range list {
		widths[p.Width] = true
		require.Equal(t, "lower edge", p.Note)
		require.Equal(t, s.ada.Name, p.Person)
	}
	require.Equal(t, map[int]bool{2048: true, 300: true}, widths)
	b.openPhotos(path)
	b.Await(`document.querySelectorAll(".photo img").length === 2 && [...document.images].every(i => i.naturalWidth > 0)`)
	require.Empty(t, b.Barriers())
	b.Shot("photos-taken")
}

// What was not sent is kept on the tablet, and goes from whatever page is open then.
func TestAPhotoIsKeptUntilItIsSent(t *testing.T) {
	t.Parallel()
	s, shop, b, path := photosTab(t)
	shop.away.Store(true)
	b.Run(`shot(300, 200).then((file) => choose(file))`)
	b.Sees("Not sent yet. Kept on this tablet", queue)
	b.Sees("1 photo waiting to be sent", waiting)
	b.Go("/bench")
	b.Sees("1 photo waiting to be sent", waiting)
	b.openPhotos(path)
	b.Sees("Not sent yet. Kept on this tablet", queue)
	require.Empty(t, s.photos("Ash tray"))
	shop.away.Store(false)
	b.Go("/bench")
	b.Sees("null", `String(localStorage.getItem("scumble.photos"))`)
	require.Len(t, s.photos("Ash tray"), 1)
}

// What is refused says why, and stays in sight until somebody drops it.
func TestARefusedPhotoSaysWhy(t *testing.T) {
	t.Parallel()
	s, _, b, path := photosTab(t)
	b.Run(`choose(new File(["no picture"], "list.txt", { type: "image/jpeg" }))`)
	const why = "Refused: This file is no photo that can be read here. Choose a JPEG, PNG or WebP file."
	b.Sees(why, queue)
	b.openPhotos(path)
	b.Sees(why, queue)
	b.Press("[data-photo-queue] button")
	b.Sees("", queue)
	b.openPhotos(path)
	b.Sees("", queue)

	s.enter(restoration.Event{Kind: restoration.KindRemove, PieceID: s.pieces["Ash tray"].ID, PersonID: s.owner.PersonID})
	b.Run(`shot(300, 200).then((file) => choose(file))`)
	b.Await(queue + `.includes("taken off the car's list")`)
}
