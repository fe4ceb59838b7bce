package bench

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"hash/crc32"
	"image"
	"image/jpeg"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// shot is a JPEG as a camera gives it: with a place, and held on its side.
func shot(t testing.TB, w, h int) []byte {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, w, h))
	for i := range img.Pix {
		img.Pix[i] = uint8(i % w)
	}
	var b bytes.Buffer
	require.NoError(t, jpeg.Encode(&b, img, nil))
	// Exif 2.32: orientation 6, and a place with the latitude "N".
	tiff := "MM\x00*\x00\x00\x00\x08\x00\x02" + "\x01\x12\x00\x03\x00\x00\x00\x01\x00\x06\x00\x00" +
		"\x88\x25\x00\x04\x00\x00\x00\x01\x00\x00\x00\x26" + "\x00\x00\x00\x00" +
		"\x00\x01\x00\x01\x00\x02\x00\x00\x00\x02N\x00\x00\x00\x00\x00\x00\x00"
	app1 := "Exif\x00\x00" + tiff
	head := binary.BigEndian.AppendUint16([]byte{0xff, 0xd8, 0xff, 0xe1}, uint16(len(app1)+2))
	return append(append(head, app1...), b.Bytes()[2:]...)
}

// sendPhotos posts a multipart form; with script, as the outbox does.
func (b *browser) sendPhotos(script bool, fields map[string]string, files ...[]byte) page {
	b.t.Helper()
	if script {
		return b.sendPhotosWith(fields, files, "Accept", "application/json")
	}
	return b.sendPhotosWith(fields, files)
}

// sendPhotosWith is sendPhotos with headers, given as name and value.
func (b *browser) sendPhotosWith(fields map[string]string, files [][]byte, header ...string) page {
	b.t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for name, value := range fields {
		require.NoError(b.t, form.WriteField(name, value))
	}
	for _, file := range files {
		w, err := form.CreateFormFile("photo", "IMG_4711.JPG")
		require.NoError(b.t, err)
		_, err = w.Write(file)
		require.NoError(b.t, err)
	}
	require.NoError(b.t, form.Close())
	r, err := http.NewRequestWithContext(b.t.Context(), http.MethodPost, b.shop.server.URL+"/bench/photos", &body)
	require.NoError(b.t, err)
	r.Header.Set("Content-Type", form.FormDataContentType())
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	res, err := b.client.Do(r)
	require.NoError(b.t, err)
	return b.read(res)
}

func photoFields(s *testShop, piece string) map[string]string {
	return map[string]string{"id": newID(), "piece": s.pieces[piece].ID.String(), "at": s.clock().Format(time.RFC3339)}
}

func (s *testShop) photos(piece string) []restoration.PiecePhoto {
	list, err := s.store.Photos(s.t.Context(), restoration.PhotoFilter{PieceID: s.pieces[piece].ID})
	require.NoError(s.t, err)
	return list
}

func TestAPhotoFromTheBench(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	fields := photoFields(s, "Ash tray")
	fields["note"] = "lower <b>edge"
	file := shot(t, 640, 480)
	first := b.sendPhotos(true, fields, file)
	require.Equal(t, "application/json", first.header.Get("Content-Type"))
	got := answersOf(t, first)
	require.Len(t, got, 1)
	require.Equal(t, restoration.Applied, got[0].Outcome)
	require.Equal(t, fields["id"], got[0].ID.String())
	require.Equal(t, got, answersOf(t, b.sendPhotos(true, fields, file)), "the same id gets the same answer")

	list := s.photos("Ash tray")
	require.Len(t, list, 1)
	require.Equal(t, s.ada.Name, list[0].Person)
	require.Equal(t, restoration.PhotoSize{Width: 480, Height: 640, SmallWidth: 360, SmallHeight: 480}, list[0].PhotoSize, "held on its side")
	shown := b.get(piecePath(s.pieces["Ash tray"].ID) + "/photos").body
	require.Contains(t, shown, "As it came")
	require.Contains(t, shown, "lower &lt;b&gt;edge")
	require.NotContains(t, shown, "4711", "no file name is kept")

	for _, size := range []string{"", "/small"} {
		served := b.get("/bench/photos/" + list[0].Photo + size)
		require.Equal(t, "image/jpeg", served.header.Get("Content-Type"))
		require.Equal(t, "nosniff", served.header.Get("X-Content-Type-Options"))
		require.Equal(t, "private, max-age=31536000, immutable", served.header.Get("Cache-Control"))
		require.NotContains(t, served.body, "Exif", "where it was taken is gone")
		_, err := jpeg.Decode(strings.NewReader(served.body))
		require.NoError(t, err)
	}
	require.Equal(t, http.StatusNotFound, b.get("/bench/photos/"+strings.Repeat("0", 64)).status)
	require.Equal(t, http.StatusNotFound, b.get("/bench/photos/nothing").status)
	require.Contains(t, s.open(true).get("/bench/photos/"+list[0].Photo).path, "/bench/people", "nobody is signed in")
}

// Without a script several photos come in one ordinary form.
func TestPhotosByAnOrdinaryForm(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.advance("Ash tray", s.ada, 1)
	b := s.signIn(s.ada)
	fields := photoFields(s, "Ash tray")
	got := b.sendPhotos(false, fields, shot(t, 64, 48), shot(t, 60, 48), nil)
	require.Equal(t, http.StatusUnprocessableEntity, got.status, "one of them is empty")
	require.Contains(t, got.body, "Photo 3 of 3: The file is empty.")
	require.Empty(t, s.photos("Ash tray"), "all or none")

	got = b.sendPhotos(false, fields, shot(t, 64, 48), shot(t, 60, 48))
	require.Equal(t, piecePath(s.pieces["Ash tray"].ID)+"/photos", got.path)
	require.Contains(t, got.body, "2 photos taken in.")
	b.sendPhotos(false, fields, shot(t, 64, 48), shot(t, 60, 48))
	list := s.photos("Ash tray")
	require.Len(t, list, 2, "twice is once")
	require.Equal(t, "stripped", list[0].Stage)

	fields["note"] = "keep me"
	got = b.sendPhotos(false, fields)
	require.Equal(t, http.StatusUnprocessableEntity, got.status)
	require.Contains(t, got.body, "Choose a photo first")
	require.Contains(t, got.body, "keep me")
}

// A pass takes photos in as it does entries, under its person and by the shop's hour.
func TestAPassTakesPhotosIn(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	pass := b.passOn("/bench")
	b.post("/bench/signout", nil)
	b = s.signIn(s.ben)
	wrong := s.clock().Add(48 * time.Hour)
	fields := photoFields(s, "Ash tray")
	fields["at"], fields["clock"] = wrong.Format(time.RFC3339), wrong.Format(time.RFC3339)
	files := [][]byte{shot(t, 64, 48)}
	got := answersOf(t, b.sendPhotosWith(fields, files, passHeader, pass, sentHeader, wrong.Add(time.Minute).Format(time.RFC3339)))
	require.Equal(t, restoration.Applied, got[0].Outcome, got[0].Reason)
	list := s.photos("Ash tray")
	require.Equal(t, s.ada.Name, list[0].Person)
	require.Equal(t, s.clock().Add(-time.Minute), list[0].At)
	require.NotContains(t, b.get("/bench").body, "taken in", "nobody is told of another's photo")

	require.NoError(t, s.store.PersonLeft(t.Context(), s.owner, s.ada.ID))
	require.Equal(t, http.StatusForbidden, b.sendPhotosWith(photoFields(s, "Ash tray"), files, passHeader, pass).status)
	require.Equal(t, http.StatusUnauthorized, b.sendPhotosWith(photoFields(s, "Ash tray"), files, passHeader, pass+"x").status)
	require.Len(t, s.photos("Ash tray"), 1)
}

// bomb says that it has a size, and holds nothing.
func bomb(w, h uint32) []byte {
	chunk := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32([]byte("IHDR"), w), h)
	chunk = append(chunk, 8, 2, 0, 0, 0)
	file := append([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x0d"), chunk...)
	return binary.BigEndian.AppendUint32(file, crc32.ChecksumIEEE(chunk))
}

func TestWhatIsNoPhotoIsAProblem(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	good := shot(t, 640, 480)
	for name, c := range map[string]struct {
		file []byte
		says string
	}{
		"no image":        {[]byte("%PDF-1.7\nnot a picture"), "no photo that can be read here"},
		"a web page":      {[]byte("<html><script>alert(1)</script>"), "no photo that can be read here"},
		"30,000 × 30,000": {bomb(30_000, 30_000), "30000 × 30000 pixels"},
		"truncated":       {good[:len(good)/2], "damaged or was cut short"},
		"HEIC":            {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00"), "Set the camera to take JPEG"},
		"50 MB":           {append(append([]byte{}, good...), make([]byte, 50<<20)...), "more than 20 MB"},
		"nothing":         {nil, "file is empty"},
	} {
		t.Run(name, func(t *testing.T) {
			got := b.sendPhotos(true, photoFields(s, "Ash tray"), c.file)
			require.Equal(t, http.StatusUnprocessableEntity, got.status, got.body)
			require.Equal(t, "application/problem+json", got.header.Get("Content-Type"))
			var problem struct{ Detail string }
			require.NoError(t, json.Unmarshal([]byte(got.body), &problem))
			require.Contains(t, problem.Detail, c.says)
			page := b.sendPhotos(false, photoFields(s, "Ash tray"), c.file)
			require.Contains(t, page.body, c.says, "and at the field for a person")
		})
	}
	require.Empty(t, s.photos("Ash tray"))
}

func TestPhotosOfWhatIsNotThere(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	unknown := photoFields(s, "Ash tray")
	unknown["piece"] = newID()
	require.Contains(t, answersOf(t, b.sendPhotos(true, unknown, shot(t, 64, 48)))[0].Reason, "no such piece")
	s.enter(restoration.Event{Kind: restoration.KindRemove, PieceID: s.pieces["Ash tray"].ID, PersonID: s.owner.PersonID})
	require.Contains(t, answersOf(t, b.sendPhotos(true, photoFields(s, "Ash tray"), shot(t, 64, 48)))[0].Reason, "taken off the car's list")
	for field, value := range map[string]string{"id": "", "piece": "nothing", "step": "x", "at": "yesterday", "clock": "noon"} {
		fields := photoFields(s, "Door capping left")
		fields[field] = value
		require.Equal(t, http.StatusUnprocessableEntity, b.sendPhotos(true, fields, shot(t, 64, 48)).status, field)
	}
	entry := entryOf(s, "Door capping left", "photo", map[string]any{"photo": strings.Repeat("a", 64)})
	require.Contains(t, answersOf(t, b.send("/bench/events", batch(t, entry)))[0].Reason, "picture of this photo did not come")
}

// A photo is asked for while there is something to be seen.
func TestAPhotoIsAskedFor(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	fresh := b.get(path + "?look=1").body
	require.Contains(t, fresh, "Photo first?")
	require.Contains(t, fresh, `href="`+path+`/photos"`)
	s.advance("Ash tray", s.ada, 2)
	require.NotContains(t, b.get(path+"?look=1").body, "Photo first?")
	back := entryOf(s, "Ash tray", "send back", map[string]any{"stage": "stripped", "defect": "rust-through"})
	delete(back, "step")
	answersOf(t, b.send("/bench/events?say=1", batch(t, back)))
	require.Contains(t, b.get(path+"?look=1").body, `href="`+path+`/photos?stage=primed">Photo of it?`, "the stage at which it was found")
	require.Contains(t, b.get(path+"/photos?stage=primed").body, `name="stage" value="primed"`)
}
