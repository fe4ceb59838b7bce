package labels

import (
	"bytes"
	"fmt"
	"strconv"
	"time"

	"github.com/go-pdf/fpdf"
)

// Placed is a label in its slot of a page.
type Placed struct {
	Slot
	Drawing
}

// PDF prints pages of labels at their size. Signs that no typeface has are question
// marks. made is the date that it bears.
func (t Typeset) PDF(pageW, pageH float64, pages [][]Placed, title string, made time.Time) ([]byte, error) {
	pdf := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: pageW, Ht: pageH}})
	pdf.SetMargins(0, 0, 0)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(made)
	pdf.SetModificationDate(made)
	pdf.SetTitle(t.Regular.Known(title), true)
	out := printer{pdf, map[string]bool{}}
	for _, page := range pages {
		pdf.AddPage()
		for _, p := range page {
			out.label(t, p)
		}
	}
	var file bytes.Buffer
	if err := pdf.Output(&file); err != nil {
		return nil, fmt.Errorf("printing %d pages of labels: %w", len(pages), err)
	}
	return file.Bytes(), nil
}

// printer draws on the pages of a PDF, which gets the typefaces that are used and no
// others.
type printer struct {
	*fpdf.Fpdf
	has map[string]bool // typefaces, by their name in the file
}

func (pdf printer) label(t Typeset, p Placed) {
	module := p.ModuleMM()
	for _, b := range p.QR.Bars() {
		pdf.Rect(p.X+float64(b.X)*module, p.Y+p.QRY+float64(b.Y)*module, float64(b.Length)*module, module, "F")
	}
	for _, s := range p.Texts {
		x := p.X + s.X
		face := t.face(s.Bold)
		for _, r := range face.runs(s.Text) {
			pdf.choose(face.fonts[r.Font], strconv.Itoa(r.Font), s.Bold)
			pdf.SetFontUnitSize(s.Size)
			pdf.Text(x, p.Y+s.Y, r.Text)
			x += r.Width * s.Size
		}
	}
}

// choose makes a typeface the one that is drawn with.
func (pdf printer) choose(t typeface, which string, bold bool) {
	family, style := "labels"+which, ""
	if bold {
		style = "B"
	}
	if name := family + style; !pdf.has[name] {
		pdf.has[name] = true
		pdf.AddUTF8FontFromBytes(family, style, t.ttf)
	}
	pdf.SetFont(family, style, 0)
}
