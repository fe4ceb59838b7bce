package csvtable

import (
	"bytes"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
)

func TestText(t *testing.T) {
	t.Parallel()
	tests := []struct{ name, raw, text, fault string }{
		{"plain", "a,é\n", "a,é\n", ""},
		{"a mark in front", BOM + "a,b", "a,b", ""},
		{"latin-1", "a\r\nb\xe9c\n", "a\r\nb\ufffdc\n",
			"line 2: the file is not UTF-8 (the first byte that does not fit is 0xE9). Save it again as CSV with the encoding UTF-8."},
		{"a sign that says it is broken is none", "a\ufffd", "a\ufffd", ""},
		{"UTF-16", "\xff\xfea\x00", "", "file: the file is UTF-16, not UTF-8. Save it again as CSV with the encoding UTF-8."},
		{"zero bytes", "a\x00b", "",
			"file: the file holds zero bytes, so it is UTF-16 or no text at all. Save it again as CSV with the encoding UTF-8."},
		{"workbook", "PK\x03\x04rest", "",
			"file: the file is a workbook or an archive, not CSV. Open it and save the sheet as CSV with the encoding UTF-8."},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			text, faults := Text([]byte(tt.raw))
			require.Equal(t, tt.text, text)
			if tt.fault == "" {
				require.Empty(t, faults)
				return
			}
			require.Len(t, faults, 1)
			require.EqualError(t, faults[0], tt.fault)
		})
	}
}

func TestTextSize(t *testing.T) {
	t.Parallel()
	_, faults := Text(bytes.Repeat([]byte("x"), MaxBytes))
	require.Empty(t, faults)
	text, faults := Text(bytes.Repeat([]byte("x"), MaxBytes+1))
	require.Empty(t, text)
	require.Equal(t, "file: the file is larger than 10 MB. Split it, or leave out what does not belong to the list.", faults[0].String())
}

func TestQuote(t *testing.T) {
	t.Parallel()
	require.Equal(t, `"a\tb"`, Quote("a\tb"))
	require.Equal(t, `"`+strings.Repeat("é", 40)+`…"`, Quote(strings.Repeat("é", 41)))
}

// Law: whatever the bytes, the text is UTF-8.
func FuzzText(f *testing.F) {
	f.Add([]byte("a,b\n"))
	f.Add([]byte("\xff\xfea"))
	f.Add([]byte(BOM + "a\xe9"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		text, faults := Text(raw)
		require.True(t, utf8.ValidString(text))
		if utf8.Valid(raw) && bytes.IndexByte(raw, 0) < 0 && !bytes.HasPrefix(raw, []byte("PK")) {
			require.Empty(t, faults)
		}
	})
}
