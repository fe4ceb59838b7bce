package csvtable

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"
)

// MaxBytes is the largest file that is read.
const MaxBytes = 10_000_000

// BOM is the UTF-8 byte order mark. Some spreadsheet programs take a file without
// it for another encoding.
const BOM = "\ufeff"

const saveAsUTF8 = "Save it again as CSV with the encoding UTF-8."

// Text is the text of a file of up to [MaxBytes]. It is "" when a fault makes the file
// unreadable; of a text that is not UTF-8 the sound parts are kept, so that its
// other faults come to light in the same go.
func Text(raw []byte) (string, []Fault) {
	if f, ok := Unreadable(raw); ok {
		return "", []Fault{f}
	}
	text := strings.TrimPrefix(string(raw), BOM)
	bad := firstInvalid(text)
	if bad < 0 {
		return text, nil
	}
	f := Fault{Line: countLines(text[:bad]) + 1,
		What: fmt.Sprintf("the file is not UTF-8 (the first byte that does not fit is 0x%02X)", text[bad]), Do: saveAsUTF8}
	return strings.ToValidUTF8(text, string(utf8.RuneError)), []Fault{f}
}

// Unreadable tells why a file is no table at all: too large, a workbook, UTF-16.
func Unreadable(raw []byte) (Fault, bool) {
	switch {
	case len(raw) > MaxBytes:
		return Fault{What: fmt.Sprintf("the file is larger than %d MB", MaxBytes/1_000_000), Do: "Split it, or leave out what does not belong to the list."}, true
	case bytes.HasPrefix(raw, []byte("PK\x03\x04")):
		return Fault{What: "the file is a workbook or an archive, not CSV", Do: "Open it and save the sheet as CSV with the encoding UTF-8."}, true
	case bytes.HasPrefix(raw, []byte("\xff\xfe")), bytes.HasPrefix(raw, []byte("\xfe\xff")):
		return Fault{What: "the file is UTF-16, not UTF-8", Do: saveAsUTF8}, true
	case bytes.IndexByte(raw, 0) >= 0:
		return Fault{What: "the file holds zero bytes, so it is UTF-16 or no text at all", Do: saveAsUTF8}, true
	}
	return Fault{}, false
}

// firstInvalid is the index of the first byte that is no UTF-8, or −1.
func firstInvalid(text string) int {
	for i := 0; i < len(text); {
		r, n := utf8.DecodeRuneInString(text[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return -1
}
