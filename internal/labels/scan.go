package labels

import (
	"net/url"
	"strings"
	"unicode"

	"scumble/internal/restoration"
)

// FindPath is where a label's address leads on every server, and the key of its code.
const (
	FindPath = "/bench/find"
	codeKey  = "code"
)

// Address is what the square code of a label holds: where the piece is found at base,
// "https://shop.example".
func Address(base, code string) string {
	return strings.TrimRight(base, "/") + FindPath + "?" + codeKey + "=" + url.QueryEscape(code)
}

// ReadScan takes the code of a piece or a place out of what was scanned or typed: the code itself in any
// case, with blanks or hyphens, or a label's address on any host. The error is a
// *restoration.Problem that says what it was and what to do.
func ReadScan(text string) (string, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return "", restoration.Problemf(restoration.TroubleInvalid, codeKey, "Nothing was scanned. Scan the label, or type its %d signs.", restoration.LabelLength)
	}
	if IsAddress(text) {
		code, ok := codeOf(text)
		if !ok {
			return "", foreign(text)
		}
		return restoration.CheckAnyCode(code)
	}
	code := bare(text)
	if len([]rune(code)) > 2*restoration.LabelLength || strings.ContainsFunc(code, notLabel) {
		return "", foreign(text)
	}
	return restoration.CheckAnyCode(code)
}

// IsAddress tells whether a text is an address rather than something that a person types.
func IsAddress(text string) bool {
	return strings.Contains(text, "://") || strings.HasPrefix(text, "/") || strings.HasPrefix(strings.ToLower(text), "www.")
}

// codeOf is the code in a label's address.
func codeOf(address string) (string, bool) {
	u, err := url.Parse(address)
	if err != nil || u.Scheme != "" && u.Scheme != "http" && u.Scheme != "https" || !strings.HasSuffix(u.Path, FindPath) {
		return "", false
	}
	code := bare(u.Query().Get(codeKey))
	if code == "" || len(code) > 2*restoration.LabelLength || strings.ContainsFunc(code, notLabel) {
		return "", false
	}
	return code, true
}

// bare leaves blanks and hyphens of every kind out.
func bare(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || unicode.Is(unicode.Pd, r) || r == '\u00ad' {
			return -1
		}
		return r
	}, s)
}

// notLabel tells whether no label could be misread as the sign: it is neither an ASCII
// letter nor a digit.
func notLabel(r rune) bool {
	return !(r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z')
}

func foreign(text string) error {
	return restoration.Problemf(restoration.TroubleInvalid, codeKey,
		"“%s” is no label of this shop. Scan the label on the piece, or type its %d signs.", Shortened(text, 40), restoration.LabelLength)
}

// Shortened is a foreign text fit to be shown: one line of at most n signs, nothing in it
// that steers how text is set.
func Shortened(text string, n int) string {
	var out []rune
	for _, r := range strings.ToValidUTF8(text, "·") {
		if len(out) == n {
			return string(out[:n-1]) + "…"
		}
		if !unicode.IsGraphic(r) {
			r = '·'
		}
		out = append(out, r)
	}
	return string(out)
}
