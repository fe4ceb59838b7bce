package labels

import (
	"bytes"
	"compress/zlib"
	"image"
	"image/color"
	"image/draw"
	_ "image/png" // what pdftoppm writes
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/labels/qrtest"
)

var made = time.Date(2026, 3, 27, 12, 0, 0, 0, time.UTC)

// printed is the PDF of some labels, with how many pages it must have.
func printed(t *testing.T) (pdf []byte, pages [][]Placed) {
	t.Helper()
	p, _ := FindPreset("a4-65")
	names := []string{"Door capping", "שער קדמי", "漢字 moulding", "Łódź \U0001F600", "Щиток, Ταμπλό"}
	i := 0
	for _, slots := range Slots(p.LabelSheet, 64, len(names)) {
		var page []Placed
		for _, s := range slots {
			code := "3467" + strconv.Itoa(i)
			d, err := face(t).Draw(Label{Code: code, Address: Address("https://shop.example", code), Piece: names[i], Car: "26-014", Stamp: true}, s.W, s.H)
			require.NoError(t, err)
			page = append(page, Placed{s, d})
			i++
		}
		pages = append(pages, page)
	}
	pdf, err := face(t).PDF(p.PageW, p.PageH, pages, "Labels of 26-014, שער", made)
	require.NoError(t, err)
	return pdf, pages
}

func TestPDFHasItsPages(t *testing.T) {
	t.Parallel()
	pdf, pages := printed(t)
	require.Contains(t, string(pdf), "/BaseFont", "typefaces are in it")
	require.True(t, bytes.HasPrefix(pdf, []byte("%PDF-1.")))
	require.Contains(t, string(pdf), "%%EOF")
	require.Len(t, regexp.MustCompile(`/Type /Page\n`).FindAll(pdf, -1), len(pages))
	require.Contains(t, string(pdf), "[0 0 595.28 841.89]", "A4 in points")
	again, _ := printed(t)
	require.Equal(t, pdf, again, "the same labels give the same file")
}

// Every square code of the PDF is read from the rectangles that it is made of.
func TestPDFCodesAreRead(t *testing.T) {
	t.Parallel()
	pdf, pages := printed(t)
	at := 0
	for _, stream := range regexp.MustCompile(`(?s)stream\n(.*?)\nendstream`).FindAllSubmatch(pdf, -1) {
		rects := rectangles(stream[1])
		if len(rects) == 0 {
			continue
		}
		picture := paper(rects)
		for _, p := range pages[at] {
			part := picture.SubImage(image.Rect(px(p.X), px(p.Y+p.QRY), px(p.X+p.QRSide), px(p.Y+p.QRY+p.QRSide)))
			require.Equal(t, p.Address, qrtest.Read(t, part))
		}
		at++
	}
	require.Len(t, pages, at)
}

// perMM is the scale of the pictures.
const perMM = 20

func px(mm float64) int { return int(mm * perMM) }

type rect struct{ x, y, w, h float64 } // in points, y up

func rectangles(packed []byte) []rect {
	r, err := zlib.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil
	}
	text, err := io.ReadAll(r)
	if err != nil {
		return nil
	}
	var out []rect
	for _, m := range regexp.MustCompile(`([\d.]+) ([\d.]+) ([\d.]+) (-?[\d.]+) re f`).FindAllSubmatch(text, -1) {
		var v [4]float64
		for i := range v {
			v[i], _ = strconv.ParseFloat(string(m[i+1]), 64)
		}
		out = append(out, rect{v[0], v[1], v[2], v[3]})
	}
	return out
}

func paper(rects []rect) *image.Gray {
	const mm = 72 / 25.4
	img := image.NewGray(image.Rect(0, 0, px(210), px(297)))
	draw.Draw(img, img.Bounds(), image.White, image.Point{}, draw.Src)
	for _, r := range rects {
		top, low := 841.89-r.y, 841.89-r.y-r.h
		box := image.Rect(px(r.x/mm), px(min(top, low)/mm), px((r.x+r.w)/mm), px(max(top, low)/mm))
		draw.Draw(img, box, image.NewUniform(color.Black), image.Point{}, draw.Src)
	}
	return img
}

// The same by a program that draws PDFs, where the machine has it.
func TestPDFIsDrawnByAnother(t *testing.T) {
	t.Parallel()
	tool, err := exec.LookPath("pdftoppm")
	if err != nil {
		t.Skip("no pdftoppm on this machine; the rectangles are read by another test")
	}
	pdf, pages := printed(t)
	dir := t.TempDir()
	file := filepath.Join(dir, "labels.pdf")
	require.NoError(t, os.WriteFile(file, pdf, 0o600))
	out, err := exec.CommandContext(t.Context(), tool, "-r", "300", "-png", "-gray", file, filepath.Join(dir, "page")).CombinedOutput()
	require.NoError(t, err, "%s", out)
	for i, page := range pages {
		img := readPNG(t, filepath.Join(dir, "page-"+strconv.Itoa(i+1)+".png"))
		dot := func(mm float64) int { return int(mm / 25.4 * 300) }
		for _, p := range page {
			part := img.(interface {
				SubImage(image.Rectangle) image.Image
			}).SubImage(image.Rect(dot(p.X), dot(p.Y+p.QRY), dot(p.X+p.QRSide), dot(p.Y+p.QRY+p.QRSide)))
			require.Equal(t, p.Address, qrtest.Read(t, part))
		}
	}
}

func readPNG(t *testing.T, name string) image.Image {
	t.Helper()
	f, err := os.Open(name)
	require.NoError(t, err)
	defer f.Close()
	img, _, err := image.Decode(f)
	require.NoError(t, err)
	return img
}
