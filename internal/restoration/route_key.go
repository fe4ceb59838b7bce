package restoration

import (
	"fmt"
	"regexp"
	"strings"
	"unicode"
)

// A key stands in the ledger and in addresses: small letters, digits and hyphens.
var keyForm = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,59}$`)

// accents holds each accented letter of the Latin alphabets of western and central
// Europe behind the plain one that stands for it in a key.
const accents = "aàáâãäåāăą cçćĉċč dďđ eèéêëēĕėęě gĝğġģ hĥħ iìíîïĩīĭįı jĵ kķ lĺļľł nñńņň oòóôõöøōŏő rŕŗř sśŝşš tţťŧ uùúûüũūŭůűų wŵ yýÿŷ zźżž"

// Slug makes a key from a name: "Guide coat, 2nd" gives "guide-coat-2nd". Accents are
// dropped. It is empty when no sign of the name can stand in a key.
func Slug(name string) string {
	var out strings.Builder
	hyphen := false
	for _, r := range strings.ToLower(name) {
		switch r = plain(r); {
		case unicode.Is(unicode.Mn, r): // an accent of its own behind its letter
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			if hyphen && out.Len() > 0 {
				out.WriteByte('-')
			}
			hyphen = false
			out.WriteRune(r)
		default:
			hyphen = true
		}
	}
	return shortened(out.String(), MaxName)
}

// plain gives the letter without its accent; any other sign as it is.
func plain(r rune) rune {
	for group := range strings.FieldsSeq(accents) {
		if strings.ContainsRune(group[1:], r) {
			return rune(group[0])
		}
	}
	return r
}

func shortened(key string, length int) string {
	return strings.TrimRight(key[:min(len(key), length)], "-")
}

// FreeKey makes a key from a name that is not taken yet: a number is put behind it
// where needed, and fallback stands in for a name that gives none.
func FreeKey(name, fallback string, taken func(key string) bool) string {
	base := Slug(name)
	if base == "" {
		base = fallback
	}
	key := base
	for n := 2; taken(key); n++ {
		tail := fmt.Sprintf("-%d", n)
		key = shortened(base, MaxName-len(tail)) + tail
	}
	return key
}

// WithKeys gives the route with tidied names and a key for every stage and check that
// has none, made from its name or text. Keys that are there stay, so that a stage may
// be renamed.
func (r Route) WithKeys() Route {
	r.Name = TidyName(r.Name)
	taken := map[string]bool{}
	for _, s := range r.Stages {
		taken[s.Key] = true
	}
	stages := make([]Stage, len(r.Stages))
	for i, s := range r.Stages {
		s.Name = TidyName(s.Name)
		if s.Key == "" {
			s.Key = FreeKey(s.Name, "stage", func(k string) bool { return taken[k] })
			taken[s.Key] = true
		}
		s.Checks = checksWithKeys(s.Checks)
		stages[i] = s
	}
	r.Stages = stages
	return r
}

func checksWithKeys(checks []Check) []Check {
	taken := map[string]bool{CheckScuffed: true} // asked of any stage whose window has shut
	for _, c := range checks {
		taken[c.Key] = true
	}
	var out []Check
	for _, c := range checks {
		c.Text = TidyName(c.Text)
		if c.Key == "" {
			c.Key = FreeKey(c.Text, "check", func(k string) bool { return taken[k] })
			taken[c.Key] = true
		}
		out = append(out, c)
	}
	return out
}
