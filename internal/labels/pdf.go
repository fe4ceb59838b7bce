package labels

import (
	"bytes"
	"fmt"
	"time"

	"github.com/go-pdf/fpdf"
)

// Placed is a label in its slot of a page.
type Placed struct {
	Slot
	Drawing
}

const family = "labels"

// PDF prints pages of labels at their size. Signs that the typeface lacks are question
// marks. made is the date that it bears.
func (t Typeset) PDF(pageW, pageH float64, pages [][]Placed, title string, made time.Time) ([]byte, error) {
	pdf := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: pageW, Ht: pageH}})
	pdf.SetMargins(0, 0, 0)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(made)
	pdf.SetModificationDate(made)
	pdf.SetTitle(t.Regular.Known(title), true)
	pdf.AddUTF8FontFromBytes(family, "", t.Regular.TTF)
	pdf.AddUTF8FontFromBytes(family, "B", t.Bold.TTF)
	for _, page := range pages {
		pdf.AddPage()
		for _, p := range page {
			t.print(pdf, p)
		}
	}
	var out bytes.Buffer
	if err := pdf.Output(&out); err != nil {
		return nil, fmt.Errorf("printing %d pages of labels: %w", len(pages), err)
	}
	return out.Bytes(), nil
}

func (t Typeset) print(pdf *fpdf.Fpdf, p Placed) {
	module := p.ModuleMM()
	for _, b := range p.QR.Bars() {
		pdf.Rect(p.X+float64(b.X)*module, p.Y+p.QRY+float64(b.Y)*module, float64(b.Length)*module, module, "F")
	}
	for _, s := range p.Texts {
		style := ""
		if s.Bold {
			style = "B"
		}
		pdf.SetFont(family, style, 0)
		pdf.SetFontUnitSize(s.Size)
		pdf.Text(p.X+s.X, p.Y+s.Y, t.face(s.Bold).Known(s.Text))
	}
}
