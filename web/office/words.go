package office

import (
	"strings"
	"unicode/utf8"

	"scumble/internal/restoration"
)

// upperFirst begins a sentence with a word that is written small.
func upperFirst(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return strings.ToUpper(string(r)) + s[n:]
}

// lowerFirst puts a stage's name inside a sentence.
func lowerFirst(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return strings.ToLower(string(r)) + s[n:]
}

// slug is a kind of entry as part of an element's id.
func slug(k restoration.Kind) string { return strings.ReplaceAll(string(k), " ", "-") }
