package labels

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// aCode is a right code, from no chance at all.
func aCode(t testing.TB) string {
	t.Helper()
	code, err := restoration.NewLabel(strings.NewReader("\x01\x05\x09\x0d"))
	require.NoError(t, err)
	return code
}

func TestReadScan(t *testing.T) {
	t.Parallel()
	code := aCode(t)
	for _, text := range []string{
		code, strings.ToLower(code), " " + code + "\r\n", code[:2] + "-" + code[2:], strings.Join(strings.Split(code, ""), " "),
		code[:3] + "–" + code[3:], "https://shop.example/bench/find?code=" + code, "http://192.168.1.5:8480/bench/find?code=" + code,
		"HTTPS://old.example/below/bench/find?x=1&code=" + strings.ToLower(code) + "#top", "/bench/find?code=" + code,
		Address("https://shop.example/", code),
	} {
		got, err := ReadScan(text)
		require.NoError(t, err, text)
		require.Equal(t, code, got, text)
	}
	for text, says := range map[string]string{
		"":                                       "Nothing was scanned",
		" \t":                                    "Nothing was scanned",
		"AB":                                     "has 5 signs, a place's 6; this has 2",
		code[:4] + "?":                           "is no label of this shop",
		"https://shop.example":                   "“https://shop.example” is no label",
		"https://shop.example/p/" + code:         "is no label",
		"ftp://shop/bench/find?code=" + code:     "is no label",
		"javascript://x/bench/find?code=" + code: "is no label",
		"https://shop.example/bench/find?code=%3Cscript%3E": "is no label",
		"<script>alert(1)</script>":                         "is no label",
		"WIFI:T:WPA;S:shop;P:secret;;":                      "is no label",
		"4006381333931":                                     "“4006381333931” is no label of this shop. Scan the label on the piece, or type its 5 signs.",
		strings.Repeat("x", 5000):                           "“" + strings.Repeat("x", 39) + "…” is no label",
		"a\x00b\u202ec":                                     "“a·b·c” is no label",
		"\xff\xfe":                                          "is no label",
	} {
		_, err := ReadScan(text)
		p, ok := restoration.AsProblem(err)
		require.True(t, ok, "%q: %v", text, err)
		require.Contains(t, p.Message, says, "%q", text)
	}
}

// Whatever is scanned: a right code that stays the same when read again, on any host, or
// one short sentence that steers nothing.
func FuzzReadScan(f *testing.F) {
	for _, seed := range []string{aCode(f), "https://shop.example/bench/find?code=" + aCode(f), "<b>", "\u202e\xff", "/bench/find?code=", "://", "ı ſ 3", "٣٤٦٧٨"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		code, err := ReadScan(text)
		if err != nil {
			p, ok := restoration.AsProblem(err)
			require.True(t, ok)
			require.LessOrEqual(t, utf8.RuneCountInString(p.Message), 200)
			require.True(t, utf8.ValidString(p.Message))
			require.False(t, strings.ContainsFunc(p.Message, func(r rune) bool { return !unicode.IsGraphic(r) }), "%q", p.Message)
			return
		}
		checked, err := restoration.CheckAnyCode(code)
		require.NoError(t, err)
		require.Equal(t, code, checked)
		for _, host := range []string{"https://shop.example", "http://[::1]:8480/a"} {
			again, err := ReadScan(Address(host, code))
			require.NoError(t, err)
			require.Equal(t, code, again)
		}
	})
}
