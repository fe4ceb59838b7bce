package labels

import (
	"strings"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// Label is what stands on one label.
type Label struct {
	Code    string
	Address string // in the square code
	Piece   string
	Side    string // "left, place 2"; "" none
	Car     string // work order first
	Place   string // where it lies; "" not said
	Stamp   bool   // for a bag or a rack: asks for the code on the metal tag
}

// StampWords stand on the label of a bag or a place on a rack: paper does not outlive
// stripping, blasting or an oven.
const StampWords = "Stamp the code on the metal tag"

// Text is one line of a label. Y is its base line, Size the height of an em.
type Text struct {
	X, Y, Size float64
	Bold       bool
	Text       string
}

// Drawing is a label drawn into its slot: lengths from the slot's corner.
type Drawing struct {
	Label
	W, H   float64
	Texts  []Text
	QR     QR
	QRSide float64 // with the quiet zone, flush with the upper left corner
	QRY    float64
}

// ModuleMM is the side of one module of the square code.
func (d Drawing) ModuleMM() float64 { return d.QRSide / float64(d.QR.Modules()) }

// FinestMM is the smallest module that a tablet's camera reads from a hand's distance,
// common practice, no source.
const FinestMM = 0.3

// Typeset has the two weights in which labels are set.
type Typeset struct{ Regular, Bold *Face }

// NewTypeset reads both weights. The Go typefaces stand in for Greek, Cyrillic and the
// rarer Latin letters, which a typeface for the west may lack.
func NewTypeset(regular, bold []byte) (Typeset, error) {
	r, err := NewFace(regular, goregular.TTF)
	if err != nil {
		return Typeset{}, err
	}
	b, err := NewFace(bold, gobold.TTF)
	return Typeset{r, b}, err
}

func (t Typeset) face(bold bool) *Face {
	if bold {
		return t.Bold
	}
	return t.Regular
}

// Shares and sizes of a label's parts, in mm or as a share of its height.
const (
	qrShare     = 0.36 // of the width,
	qrSmall     = 20   // or this much, where the label is small,
	qrMost      = 0.46 // but never more of the width
	edge        = 1.8  // what a cutter or a printer may take
	lineStep    = 1.22
	signStep    = 0.92 // from sign to sign of the code, in its size
	ascent      = 0.74 // of the typeface's capitals, in its size
	smallest    = 1.75 // that is read at arm's length
	largestLine = 4.2
)

// Draw lays a label out in a slot of w × h. Every text is inside: what is too long is
// cut, the code never is.
func (t Typeset) Draw(l Label, w, h float64) (Drawing, error) {
	qr, err := NewQR(l.Address)
	if err != nil {
		return Drawing{}, err
	}
	d := Drawing{Label: l, W: w, H: h, QR: qr, QRSide: min(h, w*qrMost, max(w*qrShare, qrSmall))}
	d.QRY = (h - d.QRSide) / 2
	left, wide := d.QRSide, w-d.QRSide-edge
	below := d.sign(t, left, wide)
	d.lines(t, left, wide, below)
	return d, nil
}

// sign sets the code, every sign in a space of the same width, and gives where it ends.
func (d *Drawing) sign(t Typeset, left, wide float64) float64 {
	signs := strings.Split(d.Code, "")
	size := min(d.H*0.27, wide/(float64(len(signs))*signStep), 14)
	y := edge + size*ascent
	for i, s := range signs {
		middle := (float64(i) + 0.5) * signStep * size
		d.Texts = append(d.Texts, Text{X: left + middle - t.Bold.Width(s)*size/2, Y: y, Size: size, Bold: true, Text: s})
	}
	return y
}

// lines sets what the label says below its code: the piece in up to two lines, its side,
// its car, where it lies, and what to stamp; what stands last gives way first, save the
// stamping.
func (d *Drawing) lines(t Typeset, left, wide, top float64) {
	room := d.H - edge - top
	size := min(max(d.H*0.095, smallest), largestLine)
	for size > smallest/2 && room/(size*lineStep) < 3 {
		size *= 0.95
	}
	n := int(room / (size * lineStep))
	wrap := func(s string, lines int) []string { return t.Regular.wrap(plain(s), wide/size, lines) }
	rest := d.rest(n, wrap)
	name := t.Bold.wrap(plain(d.Piece), wide/size, min(max(n-len(rest), 1), 2))
	y := top + size*(ascent+0.5)
	for _, s := range name {
		d.Texts = append(d.Texts, Text{X: left, Y: y, Size: size, Bold: true, Text: s})
		y += size * lineStep
	}
	for _, s := range rest {
		d.Texts = append(d.Texts, Text{X: left, Y: y, Size: size, Text: s})
		y += size * lineStep
	}
}

// stamp is what is to be stamped; "" nothing.
func (d *Drawing) stamp() string {
	if d.Stamp {
		return StampWords
	}
	return ""
}

// rest lists the lines that follow the piece's name where n lines fit in all.
func (d *Drawing) rest(n int, wrap func(s string, lines int) []string) []string {
	last := wrap(d.stamp(), max(n-1, 0))
	room := n - 1 - len(last) // the name takes one
	var rest []string
	for _, part := range []string{d.Side, d.Car, d.Place} {
		if room < 1 {
			break
		}
		most := 1
		if part == d.Car && room > 2 {
			most = 2
		}
		lines := wrap(part, most)
		rest, room = append(rest, lines...), room-len(lines)
	}
	return append(rest, last...)
}
