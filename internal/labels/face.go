package labels

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Face is one weight of lettering, for how wide a text is and which signs it has: a
// typeface, and others that stand in for the signs that it lacks. It may be shared.
type Face struct{ fonts []typeface }

type typeface struct {
	ttf  []byte
	font *sfnt.Font
	em   fixed.Int26_6
}

// NewFace reads a TrueType typeface and those that stand in for it, the first one first.
func NewFace(ttf []byte, standIns ...[]byte) (*Face, error) {
	face := &Face{}
	for _, ttf := range append([][]byte{ttf}, standIns...) {
		f, err := sfnt.Parse(ttf)
		if err != nil {
			return nil, fmt.Errorf("reading a typeface: %w", err)
		}
		face.fonts = append(face.fonts, typeface{ttf: ttf, font: f, em: fixed.I(int(f.UnitsPerEm()))})
	}
	return face, nil
}

// standInRoom is how much wider a sign that a stand-in draws may come out on a page: the
// browser takes a typeface of its own for it. From memory, of the usual ones.
const standInRoom = 1.2

// Width is how wide a text is at a size of 1, at most. A sign that every typeface lacks
// counts as one wide: another one will draw it.
func (f *Face) Width(s string) float64 {
	var buf sfnt.Buffer
	sum := 0.0
	for _, r := range s {
		switch at := f.holder(&buf, r); at {
		case -1:
			sum += missing(r)
		case 0:
			sum += f.fonts[at].advance(&buf, r)
		default:
			sum += f.fonts[at].advance(&buf, r) * standInRoom
		}
	}
	return sum
}

// missing is the width of a sign that no typeface has.
func missing(r rune) float64 {
	if unicode.Is(unicode.Mn, r) {
		return 0
	}
	return 1
}

// holder is the first typeface that has a sign; −1 none.
func (f *Face) holder(buf *sfnt.Buffer, r rune) int {
	return slices.IndexFunc(f.fonts, func(t typeface) bool { return t.has(buf, r) })
}

func (t typeface) has(buf *sfnt.Buffer, r rune) bool {
	i, err := t.font.GlyphIndex(buf, r)
	return err == nil && i != 0
}

func (t typeface) advance(buf *sfnt.Buffer, r rune) float64 {
	if unicode.Is(unicode.Mn, r) {
		return 0
	}
	i, err := t.font.GlyphIndex(buf, r)
	if err != nil || i == 0 {
		return 1
	}
	a, err := t.font.GlyphAdvance(buf, i, t.em, font.HintingNone)
	if err != nil {
		return 1
	}
	return float64(a) / float64(t.em)
}

// Lacks lists the signs of a text that no typeface has, each once; "" none.
func (f *Face) Lacks(s string) string {
	var buf sfnt.Buffer
	var lacks []rune
	for _, r := range s {
		if f.holder(&buf, r) < 0 && !slices.Contains(lacks, r) {
			lacks = append(lacks, r)
		}
	}
	return string(lacks)
}

// Known is the text with a question mark in the place of every sign that no typeface
// has.
func (f *Face) Known(s string) string {
	var buf sfnt.Buffer
	return strings.Map(func(r rune) rune {
		if f.holder(&buf, r) < 0 {
			return '?'
		}
		return r
	}, s)
}

// run is a stretch of a text that one typeface draws; Width is its own, at a size of 1.
type run struct {
	Font  int
	Text  string
	Width float64
}

// runs splits what is known of a text by who draws it. An accent stays with the letter
// that it stands on where that typeface has it.
func (f *Face) runs(s string) []run {
	var buf sfnt.Buffer
	var list []run
	for _, r := range f.Known(s) {
		at, n := f.holder(&buf, r), len(list)
		if n > 0 && unicode.Is(unicode.Mn, r) && f.fonts[list[n-1].Font].has(&buf, r) {
			at = list[n-1].Font
		}
		if n == 0 || list[n-1].Font != at {
			list, n = append(list, run{Font: at}), n+1
		}
		list[n-1].Text += string(r)
		list[n-1].Width += f.fonts[at].advance(&buf, r)
	}
	return list
}

// cut shortens a text until it is no wider than most, at a size of 1. No accent loses
// the letter that it stands on.
func (f *Face) cut(s string, most float64) string {
	if f.Width(s) <= most {
		return s
	}
	const mark = "…"
	runes := []rune(s)
	for n := len(runes) - 1; n > 0; n-- {
		if unicode.Is(unicode.Mn, runes[n]) {
			continue
		}
		if short := strings.TrimRight(string(runes[:n]), " ,-") + mark; f.Width(short) <= most {
			return short
		}
	}
	return ""
}

// wrap breaks a text at blanks into at most n lines no wider than most, at a size of 1;
// the last one is cut.
func (f *Face) wrap(s string, most float64, n int) []string {
	words := strings.Fields(s)
	var lines []string
	for len(words) > 0 && len(lines) < n {
		if len(lines) == n-1 {
			return append(lines, f.cut(strings.Join(words, " "), most))
		}
		fit := 1
		for fit < len(words) && f.Width(strings.Join(words[:fit+1], " ")) <= most {
			fit++
		}
		lines = append(lines, f.cut(strings.Join(words[:fit], " "), most))
		words = words[fit:]
	}
	return lines
}

// plain leaves out what steers how text is set: controls and changes of direction.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r >= '\u202a' && r <= '\u202e' || r >= '\u2066' && r <= '\u2069' {
			return ' '
		}
		return r
	}, s)
}
