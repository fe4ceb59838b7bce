package bench

import (
	"context"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/browsertest"
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
});
window.pictures = async () => (await (await idb.openDB("scumble")).count("pictures"));`

const queue = `[...document.querySelectorAll("[data-photo-queue] span")].map(s => s.textContent).join("|")`

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
	b.tells("main", "No photo of this piece yet.")
	b.Fill("#note", "lower edge")
	b.Run(`Promise.all([shot(3000, 1500), shot(300, 200)]).then((files) => choose(...files))`)
	b.Sees("sent|sent", queue)
	require.NotContains(t, b.Text("main"), "No photo of this piece yet.", "there are two")
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
	b.says("[data-saved]", "1 waiting to be sent")
	b.note("Ash tray", "goes before the photo")
	b.Go("/bench")
	b.says("[data-saved]", "1 waiting to be sent")
	require.Equal(t, []string{"goes before the photo"}, s.notes("Ash tray"), "a photo holds up nothing")
	b.openPhotos(path)
	b.Sees("Not sent yet. Kept on this tablet", queue)
	require.NotContains(t, b.Text("main"), "No photo of this piece yet.", "one waits")
	require.Empty(t, s.photos("Ash tray"))
	shop.away.Store(false)
	b.Go("/bench")
	b.says("[data-saved]", "all saved")
	require.Len(t, s.photos("Ash tray"), 1)
}

// A photo goes under the pass of who took it, whoever is signed in by then.
func TestAPhotoIsOfWhoTookIt(t *testing.T) {
	t.Parallel()
	s, shop, b, _ := photosTab(t)
	shop.away.Store(true)
	b.Run(`shot(300, 200).then((file) => choose(file))`)
	b.says("[data-saved]", "1 waiting to be sent")
	signOut(b)
	b.signIn(s.ben.Name)
	b.says("[data-saved]", "1 waiting to be sent")
	shop.away.Store(false)
	b.online()
	b.says("[data-saved]", "all saved")
	list := s.photos("Ash tray")
	require.Len(t, list, 1)
	require.Equal(t, s.ada.Name, list[0].Person)
}

// What is refused says why, and stays on Not taken with its picture until its author tries
// it again or lets it go.
func TestARefusedPhotoStandsOnNotTaken(t *testing.T) {
	t.Parallel()
	s, _, b, path := photosTab(t)
	b.Run(`choose(new File(["no picture"], "list.txt", { type: "image/jpeg" }))`)
	const why = "Not taken: This file is no photo that can be read here. Choose a JPEG, PNG or WebP file."
	b.Sees(why, queue)
	b.openPhotos(path)
	b.Sees(why, queue)
	s.enter(restoration.Event{Kind: restoration.KindRemove, PieceID: s.pieces["Ash tray"].ID, PersonID: s.owner.PersonID})
	b.Run(`shot(300, 200).then((file) => choose(file))`)
	b.Await(queue + `.includes("taken off the car's list")`)
	b.says("[data-not-taken]", "2 not taken")

	b.Go("/bench/nottaken")
	b.Await(`document.querySelectorAll("[data-held-refused] img:not([hidden])").length === 1`)
	b.tells("[data-held-refused] [data-says]", "Ash tray: Photo")
	b.Shot("nottaken-photo")
	require.Empty(t, b.Barriers())
	s.enter(restoration.Event{Kind: restoration.KindRestore, PieceID: s.pieces["Ash tray"].ID, PersonID: s.owner.PersonID})
	b.tap(`[data-held-refused] li:last-child [data-held-do="again"]`)
	b.Await(`document.querySelectorAll("[data-held-refused] li").length === 1`)
	require.Eventually(t, func() bool { return len(s.photos("Ash tray")) == 1 }, browsertest.Patience, moment)
	b.press(`[data-held-do="letgo"]`)
	b.press(`[data-held-do="letgo"]`)
	b.Await(`!document.querySelector("[data-held-refused] li")`)
	b.Run(choose)
	b.Await(`(pictures().then(n => window.left = n), window.left === 0)`)
	rows, err := s.store.Audit(t.Context(), restoration.AuditFilter{Acts: []restoration.Act{restoration.ActLetGo}})
	require.NoError(t, err)
	require.Len(t, rows, 1)
	require.Contains(t, rows[0].Before, "Ash tray · "+s.car.WorkOrder)
	require.Contains(t, rows[0].Before, " · Photo")
}

// A tablet without room says so before the camera opens.
func TestAFullTabletTakesNoPhoto(t *testing.T) {
	t.Parallel()
	_, _, b, _ := photosTab(t)
	// The page looks again when the outbox changes, once its script is there.
	estimate := func(free, says string) {
		b.Run(`navigator.storage.estimate = async () => ({ quota: 1e9, usage: 1e9 - ` + free + ` })`)
		b.Await(`document.dispatchEvent(new Event("scumble:outbox")) && document.querySelector("#photo-error").textContent.trim().startsWith("` + says + `")`)
	}
	estimate("1e6", "No room for another photo")
	require.Equal(t, "2", b.Eval(`String(document.querySelectorAll("[data-photos] input[type=file]:disabled").length)`))
	b.Shot("photos-full")
	require.Empty(t, b.Barriers())
	estimate("1e8", "")
	b.Sees("", `document.querySelector("#photo-error").textContent`)
	b.Await(`!document.querySelector("[data-photos] input:disabled")`)
}

// What the tablet could not keep is sent at once, or says that it is not saved.
func TestAPhotoWithoutRoomIsSentAtOnce(t *testing.T) {
	t.Parallel()
	s, shop, b, _ := photosTab(t)
	b.Run(`IDBObjectStore.prototype.add = () => { throw new DOMException("full", "QuotaExceededError") }`)
	b.Run(`shot(300, 200).then((file) => choose(file))`)
	b.Sees("sent", queue)
	require.Len(t, s.photos("Ash tray"), 1)
	shop.away.Store(true)
	b.Run(`shot(200, 300).then((file) => choose(file))`)
	b.Await(queue + `.includes("this tablet has no room")`)
}
