package csvtable

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// records scans a whole text; flawed counts the records that can't be split.
func records(text string) (rows [][]string, lines []int, flawed int) {
	s := NewScanner(text, Separator(text))
	for rec, ok := s.Next(); ok; rec, ok = s.Next() {
		if rec.Flaw != nil {
			flawed++
		}
		rows, lines = append(rows, rec.Cells), append(lines, rec.Line)
	}
	return rows, lines, flawed
}

func TestScannerPublishedCases(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile("../../testdata/formats/csv_rfc4180_cases.json")
	require.NoError(t, err)
	var file struct {
		Cases []struct {
			ID     int
			Text   string
			Header []string
			Rows   [][]string
		}
	}
	require.NoError(t, json.Unmarshal(raw, &file))
	require.Len(t, file.Cases, 6)
	for _, c := range file.Cases {
		want := c.Rows
		if c.Header != nil {
			want = append([][]string{c.Header}, want...)
		}
		got, _, flawed := records(c.Text)
		require.Zero(t, flawed, "case %d", c.ID)
		require.Equal(t, want, got, "case %d", c.ID)
	}
}

func TestScannerLines(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name   string
		text   string
		rows   [][]string
		lines  []int
		flawed int
	}{
		{"nothing", "", nil, nil, 0},
		{"only line ends", "\n\r\n\r", nil, nil, 0},
		{"blank lines count", "\n\na,b\r\n\r\nc,d", [][]string{{"a", "b"}, {"c", "d"}}, []int{3, 5}, 0},
		{"old line ends", "a,b\rc,d\r", [][]string{{"a", "b"}, {"c", "d"}}, []int{1, 2}, 0},
		{"line ends in cells", "a,\"1\r\n2\n3\r4\"\nb,c", [][]string{{"a", "1\r\n2\n3\r4"}, {"b", "c"}}, []int{1, 5}, 0},
		{"last cell empty", "a,\n,b", [][]string{{"a", ""}, {"", "b"}}, []int{1, 2}, 0},
		{"ends after a separator", "a,b\nc,", [][]string{{"a", "b"}, {"c", ""}}, []int{1, 2}, 0},
		{"spaces belong to the cell", " a , b\n", [][]string{{" a ", " b"}}, []int{1}, 0},
		{"semicolons", "a;b\n1,5;\"x;y\"", [][]string{{"a", "b"}, {"1,5", "x;y"}}, []int{1, 2}, 0},
		{"semicolons in quotes don't count", "\"a;;;\",b\nc,d", [][]string{{"a;;;", "b"}, {"c", "d"}}, []int{1, 2}, 0},
		{"stray quote", "a,b\nc\"c,d\ne,f", [][]string{{"a", "b"}, {"c\"c,d"}, {"e", "f"}}, []int{1, 2, 3}, 1},
		{"text after a quote", "a,b\n\"c\" ,d\ne,f", [][]string{{"a", "b"}, {"\"c\" ,d"}, {"e", "f"}}, []int{1, 2, 3}, 1},
		{"never closed", "a,b\n\"c,d\ne,f", [][]string{{"a", "b"}, {"\"c,d"}, {"e", "f"}}, []int{1, 2, 3}, 1},
		{"a forgotten quote hides no line", "\"a,b\nc,d\n\"e\",f\n", [][]string{{"\"a,b"}, {"c", "d"}, {"e", "f"}}, []int{1, 2, 3}, 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			rows, lines, flawed := records(tt.text)
			require.Equal(t, tt.rows, rows)
			require.Equal(t, tt.lines, lines)
			require.Equal(t, tt.flawed, flawed)
		})
	}
}

func TestScannerColumnLimit(t *testing.T) {
	t.Parallel()
	_, _, flawed := records(strings.Repeat(",", MaxColumns-1))
	require.Zero(t, flawed)
	_, _, flawed = records(strings.Repeat(",", MaxColumns))
	require.Equal(t, 1, flawed)
}

func TestScannerTabs(t *testing.T) {
	t.Parallel()
	s := NewScanner("a,b\tc;d\r\n\t\n\"1\t2\"\t\n\"3\n", '\t')
	var got [][]string
	var blank []bool
	for rec, ok := s.Next(); ok; rec, ok = s.Next() {
		got, blank = append(got, rec.Cells), append(blank, rec.Blank())
	}
	require.Equal(t, [][]string{{"a,b", "c;d"}, {"", ""}, {"1\t2", ""}, {"\"3"}}, got)
	require.Equal(t, []bool{false, true, false, false}, blank)
}

// Law: whatever the standard library's strict reader accepts, the scanner splits
// into the same cells, and whatever that refuses, it marks. Carriage returns are
// left out because the standard library drops some of them.
func FuzzScanner(f *testing.F) {
	for _, seed := range []string{"a,b\nc,d\n", "\"a\"\"b\",\"c\nd\"", "a\"b", "\"a\"b", "\"a", "a;b\n\"c;d\";e", ",\n\n\"\"\n", "\"\"\"\n\"\"\""} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if strings.Contains(text, "\r") {
			return
		}
		std := csv.NewReader(strings.NewReader(text))
		std.Comma = rune(Separator(text))
		std.FieldsPerRecord = -1
		want, err := std.ReadAll()
		got, _, flawed := records(text)
		if err != nil {
			require.Positive(t, flawed, "%v", err)
			return
		}
		for _, row := range want {
			if len(row) > MaxColumns {
				return
			}
		}
		require.Zero(t, flawed)
		require.Equal(t, want, got)
	})
}
