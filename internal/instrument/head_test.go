package instrument_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/csvtable"
	"scumble/internal/instrument"
)

func TestColumns(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name, text string
		want       instrument.Head
	}{
		{"comma and point", "Piece,Spot,Film\nDash,1,104.5\nCap,2,98\n", instrument.Head{
			Separator: ',', Decimal: '.', HeaderLine: 1, Columns: []string{"Piece", "Spot", "Film"},
			Preview: [][]string{{"Dash", "1", "104.5"}, {"Cap", "2", "98"}}, Rows: 2}},
		{"semicolon and comma", csvtable.BOM + "Piece;Film\r\nDash;104,5\r\nCap;98\r\n", instrument.Head{
			Separator: ';', Decimal: ',', HeaderLine: 1, Columns: []string{"Piece", "Film"},
			Preview: [][]string{{"Dash", "104,5"}, {"Cap", "98"}}, Rows: 2}},
		{"tab", "Piece\tL*\ta*\nDash, left\t52,1\t14\n", instrument.Head{
			Separator: '\t', Decimal: ',', HeaderLine: 1, Columns: []string{"Piece", "L*", "a*"},
			Preview: [][]string{{"Dash, left", "52,1", "14"}}, Rows: 1}},
		{"decimal commas of every row don't pass for separators", "Film;Gloss\n104,5;84,1\n98,0;83,9\n", instrument.Head{
			Separator: ';', Decimal: ',', HeaderLine: 1, Columns: []string{"Film", "Gloss"},
			Preview: [][]string{{"104,5", "84,1"}, {"98,0", "83,9"}}, Rows: 2}},
		{"lines about the batch above, some of them padded", "Batch 12\nTaken; 27 Mar; by hand\nCount;3;;\n\nPiece;Spot; Film  1 ;\nDash;1;104;ok\nCap;2;98;ok\n", instrument.Head{
			Separator: ';', Decimal: '.', HeaderLine: 5, Columns: []string{"Piece", "Spot", "Film 1", "column 4"},
			Preview: [][]string{{"Dash", "1", "104", "ok"}, {"Cap", "2", "98", "ok"}}, Rows: 2}},
		{"no header", "Dash;104\nCap;98\n", instrument.Head{
			Separator: ';', Decimal: '.', Columns: []string{"column 1", "column 2"},
			Preview: [][]string{{"Dash", "104"}, {"Cap", "98"}}, Rows: 2}},
		{"one column", "Film\n104\n98\n", instrument.Head{
			Separator: ',', Decimal: '.', HeaderLine: 1, Columns: []string{"Film"}, Preview: [][]string{{"104"}, {"98"}}, Rows: 2}},
		{"not UTF-8", "Film (\xb5m);Piece\n104;Dash\n", instrument.Head{
			Separator: ';', Decimal: '.', HeaderLine: 1, Columns: []string{"Film (µm)", "Piece"}, Preview: [][]string{{"104", "Dash"}}, Rows: 1}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			got, err := instrument.Columns([]byte(tt.text))
			require.NoError(t, err)
			require.Equal(t, tt.want, got)
		})
	}
}

func TestColumnsPreviewIsShort(t *testing.T) {
	t.Parallel()
	head, err := instrument.Columns([]byte("Piece;Film\n" + strings.Repeat("Dash;1\n", 40)))
	require.NoError(t, err)
	require.Len(t, head.Preview, instrument.PreviewRows)
	require.Equal(t, 40, head.Rows)
}

func TestColumnsMixedDecimals(t *testing.T) {
	t.Parallel()
	tests := []struct{ name, text, want string }{
		{"a point among commas", "Piece;Film\na;101,5\nb;99.5\nc;98,5\nd;97.5\n\ne;90,1\n",
			`line 3, column Film: "99.5" has a decimal point, the other numbers a decimal comma. Write all numbers with the same sign, and none between thousands.`},
		{"a comma among points", "Piece;Film\na;101.5\nb;99,5\nc;98.5\n", `line 3, column Film: "99,5" has a decimal comma, the other numbers a decimal point.`},
		{"as many of both: the file's other columns decide", "Film;Gloss\n101.5;84,5\n99,5;83,5\n",
			`line 2, column Film: "101.5" has a decimal point, the other numbers a decimal comma.`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			head, err := instrument.Columns([]byte(tt.text))
			require.NoError(t, err)
			require.Len(t, head.Mixed, 1)
			require.Contains(t, head.Mixed[0].String(), tt.want)
		})
	}
	// Columns that differ are not mixed: a version or a date may be written in another way.
	head, err := instrument.Columns([]byte("Version;Film\n1.2;101,5\n1.2;99,5\n1.3;98\n"))
	require.NoError(t, err)
	require.Empty(t, head.Mixed)
}

func TestColumnsRefuses(t *testing.T) {
	t.Parallel()
	tests := []struct{ name, text, want string }{
		{"empty", "", "file: no table is found in the file. Export the readings as CSV, with one line for each and the same columns on every line."},
		{"blank", "\n \n,,\n", "file: no table is found in the file."},
		{"header only", "Piece;Film\n", "file: there is a header but no line below it. Export the readings again."},
		{"workbook", "PK\x03\x04", "file: the file is a workbook or an archive, not CSV."},
		{"UTF-16", "\xff\xfeP\x00", "file: the file is UTF-16, not UTF-8."},
		{"too large", strings.Repeat("x", csvtable.MaxBytes+1), "file: the file is larger than 10 MB."},
		{"stray quote in the header", "Piece;8\" film\nDash;104\nCap;98\n", "line 1: in the header or above it, a double quote stands inside a cell"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			_, err := instrument.Columns([]byte(tt.text))
			require.ErrorContains(t, err, tt.want)
			rows, faults := instrument.Read([]byte(tt.text), instrument.Choice{Piece: 1, Value: 2})
			require.Empty(t, rows)
			require.Len(t, faults, 1)
			require.Equal(t, err.Error(), faults[0].String())
		})
	}
}
