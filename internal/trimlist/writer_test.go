package trimlist_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/trimlist"
)

func TestWriter(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name  string
		cells []string
		want  string
	}{
		{"plain", []string{"a", "b c", ""}, "a,b c,\r\n"},
		{"one empty cell is a record", []string{""}, "\"\"\r\n"},
		{"separators", []string{"a,b", "c;d"}, "\"a,b\",\"c;d\"\r\n"},
		{"quotes", []string{`8" rule`}, "\"8\"\" rule\"\r\n"},
		{"line ends stay as they are", []string{"a\r\nb", "c\nd"}, "\"a\r\nb\",\"c\nd\"\r\n"},
		{"outer spaces", []string{" a", "b "}, "\" a\",\"b \"\r\n"},
		{"formulas", []string{"=1+1", "+SUM(A1)", "-2+3", "@A1"}, "'=1+1,'+SUM(A1),'-2+3,'@A1\r\n"},
		{"wide formula signs", []string{"＝1", "＋1", "－A1", "＠A1"}, "'＝1,'＋1,'－A1,'＠A1\r\n"},
		{"formulas behind blanks", []string{"\t=1", "\r=1", "\n=1", " =1"}, "'\t=1,\"'\r=1\",\"'\n=1\",' =1\r\n"},
		{"formula with separators", []string{`=HYPERLINK("x";"y")`}, "\"'=HYPERLINK(\"\"x\"\";\"\"y\"\")\"\r\n"},
		{"numbers stay numbers", []string{"-1.5", "+2", "-0,5", "3"}, "-1.5,+2,\"-0,5\",3\r\n"},
		{"almost numbers", []string{"--1", "-", "-1e5", "-.5", "-1.5.5"}, "'--1,'-,'-1e5,'-.5,'-1.5.5\r\n"},
		{"an apostrophe of its own gets a second", []string{"'=1", "'tis"}, "''=1,'tis\r\n"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			var b strings.Builder
			w := trimlist.NewWriter(&b)
			w.Write(tt.cells...)
			require.NoError(t, w.Flush())
			require.Equal(t, tt.want, b.String())
		})
	}
}

// Law: no cell that comes out opens with a formula sign, unless it is a number.
func TestWriterLeavesNoFormula(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		cell := rapid.StringMatching(`['" ]{0,3}[-=+@\t\r\n＝＋－＠a1]{0,3}[a-z0-9.,;"(]{0,6}`).Draw(t, "cell")
		var b strings.Builder
		w := trimlist.NewWriter(&b)
		w.Write(cell)
		require.NoError(t, w.Flush())
		out := strings.TrimSuffix(b.String(), "\r\n")
		if strings.HasPrefix(out, `"`) {
			out = strings.ReplaceAll(out[1:len(out)-1], `""`, `"`)
		}
		out = strings.TrimLeft(out, " ")
		if out != "" && strings.ContainsRune("=+-@\t\r\n＝＋－＠", []rune(out)[0]) {
			require.Regexp(t, `^[-+]\d+([.,]\d*)?$`, out)
		}
	})
}

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestWriterTellsAtFlush(t *testing.T) {
	t.Parallel()
	w := trimlist.NewWriter(brokenWriter{})
	w.Write("a")
	require.ErrorContains(t, w.Flush(), "disk full")
}
