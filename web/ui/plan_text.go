package ui

import (
	"strings"
	"unicode"
)

// nameSize is the size of a piece's name in the plan, in SVG units; lineHeight
// the distance between two lines of it.
const (
	nameSize   = 13.0
	lineHeight = 15.0
)

// advances are the widths of U+0020 to U+007E in hundredths of the size,
// measured in a browser from the typeface's regular weight.
var advances = [95]uint8{
	28, 29, 30, 65, 59, 92, 73, 16, 30, 30, 48, 61, 21, 36, 21, 39, 65, 41, 55, 58, 61, 59, 60, 51, 61, 59, 21, 21, 55, 63, 55, 48,
	78, 63, 61, 64, 67, 57, 55, 69, 69, 39, 51, 63, 54, 82, 69, 71, 59, 72, 61, 59, 56, 69, 59, 86, 62, 57, 61, 32, 39, 34, 55, 37,
	24, 52, 57, 48, 56, 54, 31, 56, 55, 25, 24, 49, 26, 84, 55, 55, 57, 57, 35, 47, 33, 54, 46, 68, 48, 45, 46, 34, 24, 34, 55,
}

// textWidth estimates the width of a text at a size. It errs to the wide side:
// the typeface may not have arrived yet, and bold is wider.
func textWidth(s string, size float64) float64 {
	var hundredths float64
	for _, r := range s {
		hundredths += advance(r)
	}
	return hundredths / 100 * size * 1.06
}

// chipWidth is the width of an hour on a chip: bold, figures all of one width.
func chipWidth(s string) float64 {
	var hundredths float64
	for _, r := range s {
		if r >= '0' && r <= '9' {
			hundredths += 67
			continue
		}
		hundredths += advance(r) * 1.12
	}
	return hundredths/100*chipSize + chipFree
}

func advance(r rune) float64 {
	switch {
	case r >= ' ' && r <= '~':
		return float64(advances[r-' '])
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Hangul) || r >= 0x1F000:
		return 105
	case unicode.IsUpper(r) || r == '…':
		return 72
	}
	return 62
}

// wrapText breaks a text into at most max lines no wider than width; what
// doesn't fit ends in an ellipsis. cut says that something was left out.
func wrapText(s string, size, width float64, most int) (lines []string, cut bool) {
	words := strings.Fields(s)
	for len(words) > 0 && len(lines) < most {
		n := 1
		for n < len(words) && textWidth(strings.Join(words[:n+1], " "), size) <= width {
			n++
		}
		last := len(lines) == most-1
		if last {
			n = len(words)
		}
		line, short := shorten(strings.Join(words[:n], " "), size, width)
		lines = append(lines, line)
		cut = cut || short
		words = words[n:]
	}
	return lines, cut
}

// shorten drops signs from the end until the text and an ellipsis fit. It never
// leaves a letter without the marks that belong to it.
func shorten(s string, size, width float64) (string, bool) {
	if textWidth(s, size) <= width {
		return s, false
	}
	runes := []rune(s)
	for n := len(runes) - 1; n > 0; n-- {
		if unicode.In(runes[n], unicode.Mn, unicode.Me, unicode.Cf) {
			continue
		}
		short := strings.TrimRight(string(runes[:n]), " ,;.-") + "…"
		if textWidth(short, size) <= width {
			return short, true
		}
	}
	return "…", true
}
