package photos

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/restoration"
)

// quarters is a picture with red, green, blue and white from the top left, row by row.
func quarters(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	colours := []color.RGBA{{220, 20, 20, 255}, {20, 160, 20, 255}, {20, 20, 220, 255}, {255, 255, 255, 255}}
	for y := range h {
		for x := range w {
			img.SetRGBA(x, y, colours[2*(y*2/h)+x*2/w])
		}
	}
	return img
}

func asJPEG(t require.TestingT, img image.Image) []byte {
	var b bytes.Buffer
	require.NoError(t, jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}))
	return b.Bytes()
}

func asPNG(t require.TestingT, img image.Image) []byte {
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, img))
	return b.Bytes()
}

// withExif puts Exif 2.32 data into a JPEG: how it was held, and a place.
func withExif(file []byte, orientation uint16) []byte {
	tiff := []byte("MM\x00*\x00\x00\x00\x08")
	entry := func(tag, kind uint16, count uint32, value []byte) {
		tiff = binary.BigEndian.AppendUint16(tiff, tag)
		tiff = binary.BigEndian.AppendUint16(tiff, kind)
		tiff = binary.BigEndian.AppendUint32(tiff, count)
		tiff = append(tiff, value...)
	}
	tiff = append(tiff, 0, 2) // entries of IFD0
	entry(0x0112, 3, 1, []byte{byte(orientation >> 8), byte(orientation), 0, 0})
	entry(0x8825, 4, 1, []byte{0, 0, 0, 38}) // where the place stands
	tiff = append(tiff, 0, 0, 0, 0)
	tiff = append(tiff, 0, 1) // entries of the place
	entry(0x0001, 2, 2, []byte("N\x00\x00\x00"))
	tiff = append(tiff, 0, 0, 0, 0)
	app1 := append([]byte("Exif\x00\x00"), tiff...)
	head := binary.BigEndian.AppendUint16([]byte{0xff, 0xd8, 0xff, 0xe1}, uint16(len(app1)+2))
	return append(append(head, app1...), file[2:]...)
}

func decoded(t require.TestingT, p Picture) image.Image {
	img, err := jpeg.Decode(bytes.NewReader(p.JPEG))
	require.NoError(t, err)
	require.Equal(t, image.Pt(p.Width, p.Height), img.Bounds().Size())
	return img
}

// name says which quarter of [quarters] a colour is of.
func name(c color.Color) string {
	r, g, b, _ := c.RGBA()
	switch {
	case r > 0xb000 && g > 0xb000 && b > 0xb000:
		return "white"
	case r > g && r > b:
		return "red"
	case g > b:
		return "green"
	}
	return "blue"
}

// corners names the four quarters of a picture, row by row.
func corners(img image.Image) string {
	w, h := img.Bounds().Dx(), img.Bounds().Dy()
	var names []string
	for _, p := range []image.Point{{w / 4, h / 4}, {3 * w / 4, h / 4}, {w / 4, 3 * h / 4}, {3 * w / 4, 3 * h / 4}} {
		names = append(names, name(img.At(p.X, p.Y)))
	}
	return strings.Join(names, " ")
}

// Exif 2.32, 4.6.4, tag 0x0112: what the 0th row and the 0th column of the file are on
// the object. The file is red, green / blue, white.
func TestEveryOrientationIsTurnedUpright(t *testing.T) {
	t.Parallel()
	file := asJPEG(t, quarters(80, 40))
	for orientation, want := range map[uint16]string{
		1: "red green blue white",
		2: "green red white blue",
		3: "white blue green red",
		4: "blue white red green",
		5: "red blue green white",
		6: "blue red white green",
		7: "white green blue red",
		8: "green white red blue",
		9: "red green blue white", // none of the eight
	} {
		p, err := NewIntake().Take(t.Context(), withExif(file, orientation))
		require.NoError(t, err)
		require.Equal(t, want, corners(decoded(t, p.Large)), "orientation %d", orientation)
		require.Equal(t, want, corners(decoded(t, p.Small)), "orientation %d", orientation)
		if sideways := orientation >= 5 && orientation <= 8; sideways {
			require.Equal(t, [2]int{40, 80}, [2]int{p.Large.Width, p.Large.Height})
		}
	}
}

func TestNothingHiddenIsKept(t *testing.T) {
	t.Parallel()
	file := withExif(asJPEG(t, quarters(80, 40)), 6)
	require.Contains(t, string(file), "Exif")
	p, err := NewIntake().Take(t.Context(), file)
	require.NoError(t, err)
	for _, kept := range []Picture{p.Large, p.Small} {
		require.Equal(t, []byte{0xff, 0xd8, 0xff, 0xdb}, kept.JPEG[:4], "tables follow at once: no APP segment")
		require.NotContains(t, string(kept.JPEG), "Exif")
	}
}

func TestSizes(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ w, h, lw, lh, sw, sh int }{
		{4000, 3000, 2048, 1536, 480, 360},
		{3000, 4000, 1536, 2048, 360, 480},
		{2048, 10, 2048, 10, 480, 2},
		{9000, 1, 2048, 1, 480, 1},
		{300, 200, 300, 200, 300, 200}, // never made larger
		{1, 1, 1, 1, 1, 1},
	} {
		p, err := NewIntake().Take(t.Context(), asJPEG(t, quarters(tt.w, tt.h)))
		require.NoError(t, err)
		got := [4]int{p.Large.Width, p.Large.Height, p.Small.Width, p.Small.Height}
		require.Equal(t, [4]int{tt.lw, tt.lh, tt.sw, tt.sh}, got, "%d × %d", tt.w, tt.h)
		require.Less(t, len(p.Small.JPEG), len(p.Large.JPEG)+1)
	}
}

// A line of one dark pixel in ten stays as grey everywhere: no pixel is left out.
func TestShrinkingMixesEveryPixel(t *testing.T) {
	t.Parallel()
	img := image.NewGray(image.Rect(0, 0, 4000, 40))
	for x := range 4000 {
		for y := range 40 {
			img.SetGray(x, y, color.Gray{uint8(255 * min(1, x%10))})
		}
	}
	small := shrink(img, 200) // 20 pixels in one: 230 ± what 2000 → 1000 → … → 200 rounds
	for x := 5; x < 195; x++ {
		require.InDelta(t, 229.5, float64(small.RGBAAt(x, 1).R), 26, "at %d", x)
	}
}

func TestOtherFormats(t *testing.T) {
	t.Parallel()
	p, err := NewIntake().Take(t.Context(), asPNG(t, quarters(80, 40)))
	require.NoError(t, err)
	require.Equal(t, "red green blue white", corners(decoded(t, p.Large)))

	clear := image.NewNRGBA(image.Rect(0, 0, 8, 8)) // all see-through
	p, err = NewIntake().Take(t.Context(), asPNG(t, clear))
	require.NoError(t, err)
	require.Equal(t, "white white white white", corners(decoded(t, p.Large)), "not black")
}

func TestTheSameFileIsTheSamePhoto(t *testing.T) {
	t.Parallel()
	file := asJPEG(t, quarters(80, 40))
	one, err := NewIntake().Take(t.Context(), file)
	require.NoError(t, err)
	two, err := NewIntake().Take(t.Context(), withExif(file, 1))
	require.NoError(t, err)
	require.Equal(t, one, two, "hidden data doesn't make another of it")
	other, err := NewIntake().Take(t.Context(), asJPEG(t, quarters(80, 42)))
	require.NoError(t, err)
	require.NotEqual(t, one.ID, other.ID)

	id, err := ParseID(one.ID.String())
	require.NoError(t, err)
	require.Equal(t, one.ID, id)
	for _, s := range []string{"", "00", strings.Repeat("g", 64), one.ID.String() + "0"} {
		_, err := ParseID(s)
		require.Error(t, err, s)
	}
}

// bombPNG says that it has a size, and holds nothing.
func bombPNG(w, h uint32) []byte {
	head := binary.BigEndian.AppendUint32(nil, w)
	head = append(binary.BigEndian.AppendUint32(head, h), 8, 2, 0, 0, 0)
	chunk := append([]byte("IHDR"), head...)
	file := append([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x0d"), chunk...)
	return binary.BigEndian.AppendUint32(file, crc32.ChecksumIEEE(chunk))
}

// bombJPEG is a picture whose frame says that it is larger than it is.
func bombJPEG(t *testing.T, w, h uint16) []byte {
	file := asJPEG(t, quarters(16, 16))
	at := bytes.Index(file, []byte{0xff, 0xc0})
	binary.BigEndian.PutUint16(file[at+5:], h)
	binary.BigEndian.PutUint16(file[at+7:], w)
	return file
}

func TestRefusals(t *testing.T) {
	t.Parallel()
	whole := asJPEG(t, quarters(400, 400))
	for name, tt := range map[string]struct {
		file []byte
		says string
	}{
		"nothing":         {nil, "The file is empty."},
		"no image":        {[]byte("%PDF-1.7\n…"), "no photo that can be read here"},
		"text":            {[]byte("<svg onload=alert(1)>"), "no photo that can be read here"},
		"cut short":       {whole[:len(whole)/2], "damaged or was cut short"},
		"only its head":   {whole[:20], "damaged or was cut short"},
		"HEIC":            {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), "Set the camera to take JPEG"},
		"AVIF":            {[]byte("\x00\x00\x00\x18ftypavif\x00\x00\x00\x00"), "Set the camera to take JPEG"},
		"50 MB":           {append(whole, make([]byte, 50<<20)...), "This file has 50 MB; a photo may have 20."},
		"30,000 × 30,000": {bombPNG(30_000, 30_000), "This photo has 30000 × 30000 pixels; 50 million is the most."},
		"a JPEG of them":  {bombJPEG(t, 30_000, 30_000), "This photo has 30000 × 30000 pixels"},
		"a long line":     {bombPNG(1_000_000, 1), "1000000 × 1 pixels"},
		"no size":         {bombPNG(0, 10), "damaged or was cut short"},
		"hollow":          {bombPNG(100, 100), "damaged or was cut short"},
	} {
		_, err := NewIntake().Take(t.Context(), tt.file)
		p, ok := restoration.AsProblem(err)
		require.True(t, ok, "%s: %v", name, err)
		require.Contains(t, p.Message, tt.says, name)
		require.Equal(t, "photo", p.Field)
	}
}

// No more than two are decoded at a time: the third waits, and may give up.
func TestTheThirdWaits(t *testing.T) {
	t.Parallel()
	in := NewIntake()
	in.slots <- struct{}{}
	in.slots <- struct{}{}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := in.Take(ctx, asJPEG(t, quarters(8, 8)))
	require.ErrorIs(t, err, context.Canceled)
	<-in.slots
	_, err = in.Take(t.Context(), asJPEG(t, quarters(8, 8)))
	require.NoError(t, err)
	require.Len(t, in.slots, 1, "its place is free again")
}

func TestLawKeptPhotosFit(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(1, 5000).Draw(t, "w"), rapid.IntRange(1, 60).Draw(t, "h")
		if rapid.Bool().Draw(t, "upright") {
			w, h = h, w
		}
		side := rapid.IntRange(1, 3000).Draw(t, "side")
		small := shrink(image.NewGray(image.Rect(0, 0, w, h)), side).Rect.Size()
		require.LessOrEqual(t, max(small.X, small.Y), max(side, 1))
		require.LessOrEqual(t, max(small.X, small.Y), max(w, h))
		require.Positive(t, min(small.X, small.Y))
		if max(w, h) <= side {
			require.Equal(t, image.Pt(w, h), small, "what fits stays as it is")
		}
	})
}

// Whatever comes, it is refused in a sentence or kept as two JPEGs that fit.
func FuzzTake(f *testing.F) {
	whole := asJPEG(f, quarters(40, 20))
	for _, seed := range [][]byte{nil, whole, withExif(whole, 6), whole[:100], asPNG(f, quarters(9, 7)), bombPNG(30_000, 30_000),
		[]byte("RIFF\x00\x00\x00\x00WEBPVP8 "), []byte("\x00\x00\x00\x18ftypheic")} {
		f.Add(seed)
	}
	in := NewIntake()
	f.Fuzz(func(t *testing.T, file []byte) {
		if fm, err := look(file); err == nil {
			if c, _ := fm.config(bytes.NewReader(file)); c.Width*c.Height > 1_000_000 {
				t.Skip("allowed, but slow")
			}
		}
		p, err := in.Take(t.Context(), file)
		if err != nil {
			_, ok := restoration.AsProblem(err)
			require.True(t, ok, "%v", err)
			return
		}
		require.LessOrEqual(t, max(p.Large.Width, p.Large.Height), Large)
		require.LessOrEqual(t, max(p.Small.Width, p.Small.Height), Small)
		decoded(t, p.Large)
		decoded(t, p.Small)
	})
}

func BenchmarkTake(b *testing.B) {
	img := image.NewYCbCr(image.Rect(0, 0, 4000, 3000), image.YCbCrSubsampleRatio420)
	for i := range img.Y {
		img.Y[i] = byte(i*7 + i/4000*13)
	}
	file := asJPEG(b, img)
	for _, side := range []int{12} {
		b.Run(fmt.Sprint(side, " MP"), func(b *testing.B) {
			b.ReportAllocs()
			in := NewIntake()
			for b.Loop() {
				_, err := in.Take(b.Context(), file)
				require.NoError(b, err)
			}
		})
	}
}

// What is read in its turn is the same as what is at hand, and never more than may be.
func TestTakeFromReadsInItsTurn(t *testing.T) {
	t.Parallel()
	in, file := NewIntake(), asJPEG(t, quarters(80, 40))
	want, err := in.Take(t.Context(), file)
	require.NoError(t, err)
	got, err := in.TakeFrom(t.Context(), bytes.NewReader(file))
	require.NoError(t, err)
	require.Equal(t, want, got)

	endless := &counted{}
	_, err = in.TakeFrom(t.Context(), endless)
	p, ok := restoration.AsProblem(err)
	require.True(t, ok, err)
	require.Contains(t, p.Message, "a photo may have 20")
	require.LessOrEqual(t, endless.read, MaxBytes+1)

	ctx, end := context.WithCancel(t.Context())
	end()
	full := NewIntake()
	full.slots <- struct{}{}
	full.slots <- struct{}{}
	_, err = full.TakeFrom(ctx, endless)
	require.ErrorIs(t, err, context.Canceled, "who has gone waits no longer")
}

// counted gives noughts for ever, and counts them.
type counted struct{ read int }

func (c *counted) Read(p []byte) (int, error) {
	c.read += len(p)
	return len(p), nil
}
