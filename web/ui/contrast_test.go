package ui

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// properties reads the colours that a style sheet names on :root.
func properties(t *testing.T, sheets ...string) map[string]string {
	t.Helper()
	found := map[string]string{}
	root := regexp.MustCompile(`(?s)(?:^|\n):root \{(.*?)\}`)
	prop := regexp.MustCompile(`--([a-z-]+):\s*(#[0-9a-fA-F]{6});`)
	for _, sheet := range sheets {
		css, err := os.ReadFile("../../static/css/" + sheet)
		require.NoError(t, err)
		block := root.FindStringSubmatch(string(css))
		require.NotNil(t, block, sheet)
		for _, m := range prop.FindAllStringSubmatch(block[1], -1) {
			found[m[1]] = m[2]
		}
	}
	require.NotEmpty(t, found)
	return found
}

// luminance and contrast as WCAG 2.2 defines them.
func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	require.Len(t, hex, 7)
	v, err := strconv.ParseUint(hex[1:], 16, 32)
	require.NoError(t, err)
	linear := func(shift uint) float64 {
		c := float64(v>>shift&0xff) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(16) + 0.7152*linear(8) + 0.0722*linear(0)
}

func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	la, lb := luminance(t, a), luminance(t, b)
	return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
}

func TestContrastOfKnownPairs(t *testing.T) {
	t.Parallel()
	require.InDelta(t, 21, contrast(t, "#000000", "#ffffff"), 0.001)
	require.InDelta(t, 4.54, contrast(t, "#767676", "#ffffff"), 0.01)
}

// Every pair of text and ground that the sheets put together: 4.5 to 1 in the
// office and on the customer's phone (AA), 7 to 1 on the bench (AAA); lines that
// bound a control 3 to 1.
func TestContrast(t *testing.T) {
	t.Parallel()
	text := [][2]string{
		{"ink", "paper"}, {"ink", "card"}, {"ink", "sunk"}, {"mute", "paper"}, {"mute", "card"}, {"mute", "sunk"},
		{"link", "paper"}, {"link", "card"}, {"main-ink", "main"}, {"card", "ink"}, {"alert", "paper"}, {"alert", "card"}, {"alert", "alert-sunk"},
		{"ink", "alert-sunk"}, {"ink", "amber-sunk"}, {"amber-ink", "amber-sunk"}, {"ink", "done-sunk"}, {"done-ink", "done-sunk"},
	}
	bounds := [][2]string{{"edge", "paper"}, {"edge", "card"}, {"focus", "paper"}, {"focus", "card"}, {"alert", "card"}}
	for _, face := range []struct {
		name   string
		sheets []string
		least  float64
	}{
		{"office", []string{"base.css"}, 4.5},
		{"progress", []string{"base.css", "progress.css"}, 4.5},
		{"bench", []string{"base.css", "bench.css"}, 7},
	} {
		colours := properties(t, face.sheets...)
		check := func(pair [2]string, least float64) {
			t.Run(fmt.Sprintf("%s/%s on %s", face.name, pair[0], pair[1]), func(t *testing.T) {
				t.Parallel()
				require.Contains(t, colours, pair[0])
				require.Contains(t, colours, pair[1])
				require.GreaterOrEqual(t, contrast(t, colours[pair[0]], colours[pair[1]]), least)
			})
		}
		for _, pair := range text {
			check(pair, face.least)
		}
		for _, pair := range bounds {
			check(pair, 3)
		}
	}
}
