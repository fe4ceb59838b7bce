package office

import (
	"bytes"
	"image"
	"image/jpeg"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/browsertest"
	"scumble/internal/photos"
	"scumble/internal/restoration"
)

// shot is a JPEG, all of one grey.
func shot(t testing.TB, grey uint8) []byte {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, 640, 480))
	for i := range img.Pix {
		img.Pix[i] = grey
	}
	var b bytes.Buffer
	require.NoError(t, jpeg.Encode(&b, img, nil))
	return b.Bytes()
}

// photo enters a photo of a piece, taken at an hour, and gives the entry's id.
func (f floor) photo(p restoration.Piece, grey uint8, at time.Time) restoration.ID {
	t := f.bench.t
	t.Helper()
	photo, err := photos.NewIntake().Take(t.Context(), shot(t, grey))
	require.NoError(t, err)
	e := restoration.Event{ID: newID(), Kind: restoration.KindPhoto, PieceID: p.ID, PersonID: f.ida.ID, At: at}
	out, err := f.bench.store.EnterPhoto(t.Context(), e, photo)
	require.NoError(t, err)
	require.Equal(t, restoration.Applied, out.Result, out.Reason)
	return e.ID
}

// addPhotos posts the form that adds photos.
func (f floor) addPhotos(path string, form url.Values, files ...[]byte) answer {
	t := f.bench.t
	t.Helper()
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	for name := range form {
		require.NoError(t, w.WriteField(name, form.Get(name)))
	}
	for _, file := range files {
		part, err := w.CreateFormFile("photo", "IMG_4711.JPG")
		require.NoError(t, err)
		_, err = part.Write(file)
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	return f.send(http.MethodPost, path+"/photos", w.FormDataContentType(), &body)
}

func TestPhotosFromTheOffice(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
	p := pieces[0]
	f.tick(p, 2, f.ida, noon.Add(-2*hour))
	path := piecePath(p.ID)
	require.Contains(t, f.page(path).within("photos").text(), "No photo yet.")

	form := url.Values{"id": {newID().String()}, "photo_stage": {""}, "photo_note": {"maker's stamp"}, "photo_when": {"2026-03-16T10:00"}}
	a := f.addPhotos(path, form, shot(t, 50), shot(t, 60))
	require.Equal(t, http.StatusSeeOther, a.code, a.body)
	require.Equal(t, path+"#photos", a.to)
	f.addPhotos(path, form, shot(t, 50), shot(t, 60)) // a double click
	list, err := f.bench.store.Photos(t.Context(), restoration.PhotoFilter{PieceID: p.ID})
	require.NoError(t, err)
	require.Len(t, list, 2)
	require.Equal(t, "", list[0].Stage, "it was taken before the first tick")
	shown := f.page(path).within("photos").text()
	require.Contains(t, shown, "As it came")
	require.Contains(t, shown, "maker's stamp")
	require.Contains(t, shown, "Mon 16 Mar 2026, 10:00")

	got := f.get("/office/photos/" + list[0].Photo + "/small")
	require.Equal(t, http.StatusOK, got.code)
	require.True(t, strings.HasPrefix(got.body, "\xff\xd8\xff"))
	require.Equal(t, http.StatusNotFound, f.get("/office/photos/"+strings.Repeat("0", 64)).code)
}

// What is wrong stands at the field, with what was typed.
func TestPhotosThatCanNotBeRead(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
	path := piecePath(pieces[0].ID)
	for name, tc := range map[string]struct {
		form  url.Values
		file  []byte
		field string
		says  string
	}{
		"no photo":   {url.Values{}, []byte("<html>"), "photo", "no photo that can be read"},
		"HEIC":       {url.Values{}, []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00"), "photo", "take JPEG"},
		"50 MB":      {url.Values{}, append(shot(t, 1), make([]byte, 50<<20)...), "photo", "more than 20 MB"},
		"in a month": {url.Values{"photo_when": {"2026-04-27T10:00"}}, shot(t, 1), "photo_when", "has not come yet"},
	} {
		t.Run(name, func(t *testing.T) {
			tc.form.Set("id", newID().String())
			tc.form.Set("photo_note", "keep me")
			a := f.addPhotos(path, tc.form, tc.file)
			require.Equal(t, http.StatusUnprocessableEntity, a.code)
			page := parsePage(t, a.body)
			require.Contains(t, text(page.one("p", "id", tc.field+"-error")), tc.says)
			if name != "50 MB" { // of which nothing was read
				require.Equal(t, "keep me", attribute(page.one("input", "id", "photo_note"), "value"))
			}
		})
	}
	list, err := f.bench.store.Photos(t.Context(), restoration.PhotoFilter{})
	require.NoError(t, err)
	require.Empty(t, list)
}

func TestTheOwnerSaysWhatTheCustomerSees(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "1936 Brennick Eight"}, 2)
	older, newer := f.photo(pieces[0], 40, noon.AddDate(0, 0, -2)), f.photo(pieces[1], 80, noon.AddDate(0, 0, -1))
	path := carPhotosPath(car.WorkOrder)
	require.Contains(t, f.page(path).text(), "Nothing yet.")
	act := func(event restoration.ID, act, back string) answer {
		a := f.post(picturePath+"/"+event.String()+"/"+act, url.Values{"back": {back}})
		require.Equal(t, http.StatusSeeOther, a.code, a.body)
		return a
	}
	require.Equal(t, path, act(older, "show", car.WorkOrder).to)
	require.Equal(t, path, act(newer, "show", car.WorkOrder).to)
	page := f.page(path)
	require.Contains(t, page.text(), "The customer sees the photo from now on.")
	shared, err := f.bench.store.Photos(t.Context(), restoration.PhotoFilter{CarID: car.ID, Shared: true})
	require.NoError(t, err)
	require.Len(t, shared, 2)
	require.Equal(t, picturePath+"/"+shared[1].Photo, attribute(page.all("a", "href", picturePath+"/"+shared[1].Photo)[0], "href"))
	require.Less(t, strings.Index(f.get(path).body, shared[1].Photo), strings.Index(f.get(path).body, shared[0].Photo), "the newest first")

	piece := piecePath(pieces[0].ID)
	require.Equal(t, piece+"#photos", act(older, "remove", pieces[0].ID.String()).to)
	require.Contains(t, f.page(piece).within("photos").text(), "Taken away (1)")
	act(older, "restore", pieces[0].ID.String())
	require.Contains(t, f.page(piece).within("photos").text(), "Customer may see", "it comes back unseen")
	act(newer, "hide", car.WorkOrder)
	require.Contains(t, f.page(path).text(), "Nothing yet.")
	require.Contains(t, f.page("/office/audit").text(), "lets the customer see a photo of")

	require.Equal(t, http.StatusNotFound, f.post(picturePath+"/"+newID().String()+"/show", nil).code)
	require.Equal(t, http.StatusNotFound, f.post(picturePath+"/"+older.String()+"/burn", nil).code)
}

// The slider moves the cut between two photos, by keyboard too.
func TestBeforeAndAfter(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
	p := pieces[0]
	compare := piecePath(p.ID) + "/compare"
	first := f.photo(p, 40, noon.AddDate(0, 0, -3))
	require.Equal(t, piecePath(p.ID)+"#photos", f.get(compare).to, "two are needed")
	second := f.photo(p, 80, noon.AddDate(0, 0, -2))
	f.photo(p, 120, noon.AddDate(0, 0, -1))
	page := f.page(compare + "?before=" + second.String() + "&after=" + first.String())
	require.Contains(t, page.text(), "Before: As it came · Wed 25 Mar 2026, 12:00")
	require.Contains(t, page.text(), "After: As it came · Tue 24 Mar 2026, 12:00")

	b := f.openDesk(browsertest.Desk)
	b.Go(compare)
	b.Await(`document.querySelector("[data-over]")?.checkVisibility()`)
	cut := `getComputedStyle(document.querySelectorAll(".over-frame img")[1]).clipPath`
	require.Equal(t, "inset(0px 0px 0px 50%)", b.Eval(cut))
	b.Eval(`(s => { s.focus(); s.value = 20; s.dispatchEvent(new Event("input")); return ""; })(document.querySelector("#cut"))`)
	require.Equal(t, "inset(0px 0px 0px 20%)", b.Eval(cut))
	b.Await(`[...document.images].every(i => i.naturalWidth > 0)`)
	for _, path := range []string{compare, piecePath(p.ID)} {
		b.Go(path)
		for _, d := range browsertest.AllDevices {
			b.Resize(d)
			require.Equal(t, "0", b.TooWide(), "%s at %d px", path, d.W)
		}
		require.Empty(t, b.Barriers(), path)
	}
}

func TestPhotosToCompareSayWhatDiffers(t *testing.T) {
	t.Parallel()
	for want, ph := range map[string]restoration.PiecePhoto{
		"As it came · Fri 27 Mar 2026, 12:00":                                {At: noon, Pass: 1},
		"Cleared · Fri 27 Mar 2026, 12:00":                                   {At: noon, Pass: 1, StageName: "Cleared"},
		"Cleared · after the 1st send-back · Fri 27 Mar 2026, 12:00 · a run": {At: noon, Pass: 2, StageName: "Cleared", Note: "a run"},
	} {
		require.Equal(t, want, photoWords(ph, time.UTC))
	}
	require.LessOrEqual(t, len(photoWords(restoration.PiecePhoto{At: noon, Note: strings.Repeat("long ", 100)}, time.UTC)), 120)
}
