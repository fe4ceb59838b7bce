package labels

import (
	"fmt"
	"strings"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Face is a typeface, for how wide a text is and which signs it has. It may be shared.
type Face struct {
	TTF  []byte
	font *sfnt.Font
	em   fixed.Int26_6
}

// NewFace reads a TrueType typeface.
func NewFace(ttf []byte) (*Face, error) {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		return nil, fmt.Errorf("reading a typeface: %w", err)
	}
	return &Face{TTF: ttf, font: f, em: fixed.I(int(f.UnitsPerEm()))}, nil
}

// Width is how wide a text is at a size of 1. A sign that the typeface lacks counts as
// one wide: another typeface will draw it.
func (f *Face) Width(s string) float64 {
	var buf sfnt.Buffer
	sum := 0.0
	for _, r := range s {
		sum += f.advance(&buf, r)
	}
	return sum
}

func (f *Face) advance(buf *sfnt.Buffer, r rune) float64 {
	if unicode.Is(unicode.Mn, r) {
		return 0
	}
	i, err := f.font.GlyphIndex(buf, r)
	if err != nil || i == 0 {
		return 1
	}
	a, err := f.font.GlyphAdvance(buf, i, f.em, font.HintingNone)
	if err != nil {
		return 1
	}
	return float64(a) / float64(f.em)
}

// Lacks tells whether the typeface lacks a sign of the text.
func (f *Face) Lacks(s string) bool { return f.Known(s) != s }

// Known is the text with a question mark in the place of every sign that the typeface
// lacks.
func (f *Face) Known(s string) string {
	var buf sfnt.Buffer
	return strings.Map(func(r rune) rune {
		if i, err := f.font.GlyphIndex(&buf, r); err != nil || i == 0 {
			return '?'
		}
		return r
	}, s)
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
