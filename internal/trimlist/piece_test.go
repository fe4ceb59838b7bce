package trimlist_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
)

func parse(t *testing.T, text string) trimlist.List {
	t.Helper()
	list, err := trimlist.ParsePieces(strings.NewReader(text), trimlist.Known{Routes: []string{"grained", "Painted only"}})
	require.NoError(t, err)
	return list
}

// plain is a piece with only its name and zone given.
func plain(name string, zone restoration.Zone, order int) restoration.NewPiece {
	return restoration.NewPiece{Details: restoration.Details{
		Name: name, Zone: zone, Order: order, Size: restoration.SizeMedium, Mounting: restoration.MountBench,
	}}
}

func TestParsePiecesFull(t *testing.T) {
	t.Parallel()
	list := parse(t, "piece,zone,side,place,area_m2,size,mounting,set,route,grade,faults,lies_at,note\r\n"+
		"Glove-box  door,FRONT,L,4 dash,0.062,,Fixed,dash,painted ONLY,4,\"hole x2, dent\",rack A 2,\"Lock missing,\r\nsee tray\"\r\n")
	require.Empty(t, list.Report())
	require.Equal(t, []restoration.NewPiece{{
		Details: restoration.Details{
			Name: "Glove-box door", Zone: restoration.ZoneFront, Side: restoration.SideLeft, Place: "4 dash", Order: 4,
			AreaM2: 0.062, BothM2: 0.124, Size: restoration.SizeMedium, Mounting: restoration.MountFixed, Set: "dash", Grade: 4,
			Faults: []restoration.Fault{{Kind: "hole", Count: 2}, {Kind: "dent", Count: 1}}, Note: "Lock missing,\nsee tray",
		},
		Route: "Painted only", LiesAt: "rack A 2",
	}}, list.Pieces)
}

func TestParsePiecesForms(t *testing.T) {
	t.Parallel()
	want := []restoration.NewPiece{plain("Panel", "front", 1), plain("Cap", "left", 1)}
	for name, text := range map[string]string{
		"commas":           "piece,zone\nPanel,front\nCap,left\n",
		"semicolons":       "piece;zone\nPanel;front\nCap;left\n",
		"byte order mark":  trimlist.BOM + "piece,zone\nPanel,front\nCap,left\n",
		"CRLF":             "piece,zone\r\nPanel,front\r\nCap,left\r\n",
		"no last line end": "piece,zone\nPanel,front\nCap,left",
		"all in quotes":    "\"piece\",\"zone\"\n\"Panel\",\"front\"\n\"Cap\",\"left\"\n",
		"other order":      "zone,piece\nfront,Panel\nleft,Cap\n",
		"header in words":  "Piece,ZONE,Lies at,Area m²\nPanel,front,,\nCap,left,,\n",
		"blank lines":      "\n\npiece,zone\n\nPanel,front\n , \nCap,left\n\n",
		"outer blanks":     " piece , zone \n Panel , front \n Cap\t,left\u00a0\n",
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			list := parse(t, text)
			require.Empty(t, list.Report())
			require.Equal(t, want, list.Pieces)
		})
	}
}

func TestParsePiecesKeepsFormulasAndMarkup(t *testing.T) {
	t.Parallel()
	for cell, want := range map[string]string{
		"=SUM(A1:A9)": "=SUM(A1:A9)", "-2+3": "-2+3", "@x": "@x", "<b>x</b>'; DROP TABLE x": "<b>x</b>'; DROP TABLE x",
		"'=SUM(A1)": "=SUM(A1)", "''=SUM(A1)": "'=SUM(A1)", "'tis": "'tis", "غطاء اليسار": "غطاء اليسار",
	} {
		list := parse(t, "piece,zone\n"+cell+",loose\n")
		require.Empty(t, list.Report())
		require.Equal(t, want, list.Pieces[0].Name)
	}
}

func TestParsePiecesSize(t *testing.T) {
	t.Parallel()
	tests := []struct {
		area, size string
		want       restoration.Size
	}{
		{"", "", restoration.SizeMedium},
		{"", "Small", restoration.SizeSmall},
		{"0.0005", "", restoration.SizeSmall},
		{"0.0499", "", restoration.SizeSmall},
		{"0.05", "", restoration.SizeMedium},
		{"0.2", "", restoration.SizeMedium},
		{"0.201", "", restoration.SizeLarge},
		{"5", "", restoration.SizeLarge},
		{"5", "small", restoration.SizeSmall},
	}
	for _, tt := range tests {
		list := parse(t, fmt.Sprintf("piece,zone,area_m2,size\nPanel,front,%s,%s\n", tt.area, tt.size))
		require.Empty(t, list.Report())
		require.Equal(t, tt.want, list.Pieces[0].Size, "%v", tt)
	}
}

func TestParsePiecesOrder(t *testing.T) {
	t.Parallel()
	list := parse(t, "piece,zone,place\na,front,\nb,left,\nc,front,12 by the clock\nd,front,dash\ne,front,7\nf,left,12345\n")
	require.Empty(t, list.Report())
	var got []int
	for _, p := range list.Pieces {
		got = append(got, p.Order)
	}
	require.Equal(t, []int{1, 1, 12, 3, 7, 2}, got)
}

// long is one sign too long for a name.
var long = strings.Repeat("ß", 61)

// cellFaults are cells of a row that is right otherwise.
var cellFaults = []struct {
	column, cell string
	want         string // of the message; "" when the cell is right
}{
	{"piece", "", `the cell is empty. Write a name of up to 60 characters.`},
	{"piece", strings.Repeat("ß", 60), ""},
	{"piece", long, `the text has 61 characters. Shorten it to 60.`},
	{"piece", "\"a\nb\"", `"a\nb" holds a line break or another control sign. Write it on one line.`},
	{"piece", "a\x07b", `"a\ab" holds a line break or another control sign. Write it on one line.`},
	{"zone", "", `the cell is empty. Write front, left, right, rear or loose.`},
	{"zone", "boot", `"boot" is no zone. Write front, left, right, rear or loose.`},
	{"side", "centre", ""},
	{"side", "R", ""},
	{"side", "middle", ""},
	{"side", "upper", `"upper" is no side. Write left, right or centre, or leave it blank.`},
	{"place", long, `the text has 61 characters. Shorten it to 60.`},
	{"area_m2", "0.12", ""},
	{"area_m2", ".5", ""},
	{"area_m2", "\"0,12\"", `"0,12" is no area. Write the visible area in m², such as 0.12.`},
	{"area_m2", "0.12x", `"0.12x" is no area. Write the visible area in m², such as 0.12.`},
	{"area_m2", "-1", `"-1" is no area. Write the visible area in m², such as 0.12.`},
	{"area_m2", "1e-1", `"1e-1" is no area. Write the visible area in m², such as 0.12.`},
	{"area_m2", "NaN", `"NaN" is no area. Write the visible area in m², such as 0.12.`},
	{"area_m2", "Inf", `"Inf" is no area. Write the visible area in m², such as 0.12.`},
	{"area_m2", "0.1.2", `"0.1.2" is no area. Write the visible area in m², such as 0.12.`},
	{"area_m2", ".", `"." is no area. Write the visible area in m², such as 0.12.`},
	{"area_m2", "0", `"0" is out of range, 0.0005 to 5. Write the visible area in m², such as 0.12.`},
	{"area_m2", "0.0004", `"0.0004" is out of range, 0.0005 to 5. Write the visible area in m², such as 0.12.`},
	{"area_m2", "5.01", `"5.01" is out of range, 0.0005 to 5. Write the visible area in m², such as 0.12.`},
	{"size", "tiny", `"tiny" is no size. Write small, medium or large, or leave it blank.`},
	{"mounting", "screwed", `"screwed" is no mounting. Write bench or fixed, or leave it blank for bench.`},
	{"set", long, `the text has 61 characters. Shorten it to 60.`},
	{"route", "chromed", `"chromed" is no route here. Leave it blank or write one of: grained, Painted only.`},
	{"grade", "6", ""},
	{"grade", "0", `"0" is no grade. Write the condition as 1 to 6, or leave it blank.`},
	{"grade", "7", `"7" is no grade. Write the condition as 1 to 6, or leave it blank.`},
	{"faults", "hole x2|dent", ""},
	{"faults", "rust", `"rust" is no fault known here; write one of: `},
	{"faults", "hole x 2|dent × 3", ""},
	{"faults", "hole x2y", `"hole x2y" is no fault known here`},
	{"faults", "hole x0", `the count must be from 1 to 99`},
	{"faults", strings.Repeat("dent|", 20), `the list of faults is too long. Name up to 20`},
	{"lies_at", long, `the text has 61 characters. Shorten it to 60.`},
	{"note", "\"a\tb\nc\"", ""},
	{"note", strings.Repeat("x", 2000), ""},
	{"note", strings.Repeat("x", 2001), `the text has 2001 characters. Shorten it to 2000.`},
	{"note", "a\x1bb", `"a\x1bb" holds a control sign. Delete it; only line breaks and tabs may stand in a note.`},
}

func TestParsePiecesCellFaults(t *testing.T) {
	t.Parallel()
	for _, tt := range cellFaults {
		t.Run(tt.column+" "+fmt.Sprintf("%.30q", tt.cell), func(t *testing.T) {
			t.Parallel()
			row := map[string]string{"piece": "Panel", "zone": "front", tt.column: tt.cell}
			header, cells := "piece,zone", row["piece"]+","+row["zone"]
			if tt.column != "piece" && tt.column != "zone" {
				header, cells = header+","+tt.column, cells+","+tt.cell
			}
			list := parse(t, "\n"+header+"\n"+cells+"\nLast,rear"+strings.Repeat(",", strings.Count(header, ",")-1)+"\n")
			if tt.want == "" {
				require.Empty(t, list.Report())
				require.Len(t, list.Pieces, 2)
				return
			}
			require.Len(t, list.Faults, 1)
			require.Contains(t, list.Faults[0].String(), "line 3, column "+tt.column+": ")
			require.Contains(t, list.Faults[0].String(), tt.want)
			require.Equal(t, list.Faults, list.Rows[0].Faults)
			require.Len(t, list.Pieces, 1, "the row without fault is there")
		})
	}
}

func TestParsePiecesDecimalComma(t *testing.T) {
	t.Parallel()
	list := parse(t, "piece;zone;area_m2\na;front;0,12\nb;front;0.12\nc;front;1.000,5\n")
	require.Equal(t, []string{`line 4, column area_m2: "1.000,5" is no area. Write the visible area in m², such as 0.12 or 0,12.`}, list.Report())
	require.InDelta(t, 0.12, list.Pieces[0].AreaM2, 0)
	require.InDelta(t, 0.12, list.Pieces[1].AreaM2, 0)
}

func TestParsePiecesWithoutRoutes(t *testing.T) {
	t.Parallel()
	list, err := trimlist.ParsePieces(strings.NewReader("piece,zone,route\na,front,\nb,front,grained\n"), trimlist.Known{})
	require.NoError(t, err)
	require.Equal(t, []string{`line 3, column route: "grained" is no route here. Leave it blank; there is none to choose from.`}, list.Report())
}

func TestParsePiecesFileFaults(t *testing.T) {
	t.Parallel()
	const head = "piece,zone\n"
	tests := []struct{ name, text, want string }{
		{"empty", "", "file: the file is empty. Write a header line (piece, zone, side,"},
		{"only a mark", trimlist.BOM, "file: the file is empty."},
		{"only blanks", "\n \n,,\n", "file: the file is empty."},
		{"header only", head, "file: there is a header but no line below it. Write one line for each of the pieces."},
		{"no zone", "piece,colour\na,b\n", "line 1, column zone: the header does not name this column, which is needed."},
		{"twice", "\npiece,zone,Zone\na,front,rear\n", "line 2, column zone: the header names this column twice."},
		{"tabs", "piece\tzone\na\tfront\n", "line 1: the cells are separated by tabs. Save the list with commas or semicolons"},
		{"quote in header", "pie\"ce,zone\na,front\n", "line 1: in the header, a double quote stands inside a cell"},
		{"latin-1", head + "a,front\nCoup\xe9,rear\n", "line 3: the file is not UTF-8 (the first byte that does not fit is 0xE9). Save it again as CSV with the encoding UTF-8."},
		{"utf-16 little", "\xff\xfep\x00i\x00", "file: the file is UTF-16, not UTF-8. Save it again"},
		{"utf-16 big", "\xfe\xff\x00p\x00i", "file: the file is UTF-16, not UTF-8. Save it again"},
		{"zero bytes", "p\x00i\x00e\x00", "file: the file holds zero bytes"},
		{"workbook", "PK\x03\x04\x14\x00", "file: the file is a workbook or an archive, not CSV."},
		{"too large", head + strings.Repeat("x", trimlist.MaxBytes), "file: the file is larger than 10 MB."},
		{"too few cells", head + "a\n", "line 2: the header has 2 cells and this line 1."},
		{"the same piece", head + "Cap,front\n\nCAP,Front\n", "line 4, column piece: the same piece stands on line 2 already."},
		{"stray quote", head + "8\" cap,front\n", "line 2, column piece: a double quote stands inside a cell"},
		{"quote never closed", head + "a,\"front\n", "line 2, column zone: a cell opens with a double quote that is never closed."},
		{"quote closed late", head + "\"a,front\n\"b\",front\n", "line 2, column piece: a cell opens with a double quote and runs on to line 3, where text follows"},
		{"too many cells", head + strings.Repeat(",", 100) + "\n", "line 2: the line has more than 100 cells."},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			list := parse(t, tt.text)
			require.Len(t, list.Report(), 1)
			require.Contains(t, list.Report()[0], tt.want)
		})
	}
}

func TestParsePiecesNotUTF8ReportsTheRestToo(t *testing.T) {
	t.Parallel()
	list := parse(t, "piece,zone\nCoup\xe9 cap,front\nb,boot\n")
	require.Len(t, list.Faults, 2)
	require.Equal(t, 3, list.Faults[1].Line)
}

func TestParsePiecesIgnoresUnknownColumns(t *testing.T) {
	t.Parallel()
	list := parse(t, "piece,Colour,zone,,area\na,brown,front,,\n")
	require.Empty(t, list.Report())
	require.Equal(t, []string{`"Colour"`, "column 4, which has no name", `"area"`}, list.Ignored)
	require.Equal(t, []string{"piece", "", "zone", "", ""}, list.Columns)
	require.Equal(t, []string{"piece", "Colour", "zone", "", "area"}, list.Header)
	require.Equal(t, []trimlist.Row{{Line: 2, Cells: []string{"a", "brown", "front", "", ""}}}, list.Rows)
}

func TestParsePiecesLimits(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	b.WriteString("piece,zone\n")
	for i := range trimlist.MaxRows {
		fmt.Fprintf(&b, "piece %d,front\n", i)
	}
	list := parse(t, b.String())
	require.Empty(t, list.Report())
	require.Len(t, list.Pieces, trimlist.MaxRows)

	list = parse(t, b.String()+"one more,front\nand more,boot\n")
	require.Equal(t, []string{"line 2002: the file holds more than 2000 pieces. Split it and read the parts one by one."}, list.Report())
}

func TestParsePiecesCapsTheReport(t *testing.T) {
	t.Parallel()
	list := parse(t, "piece,zone\n"+strings.Repeat(",boot\n", 150))
	require.Len(t, list.Faults, trimlist.MaxFaults)
	require.Equal(t, 100, list.Unlisted)
	require.Equal(t, "file: 100 more faults are not listed. Correct these first.", list.Report()[trimlist.MaxFaults])
	require.Len(t, list.Rows[149].Faults, 2)
}

func TestParseFailsOnlyWhenReadingFails(t *testing.T) {
	t.Parallel()
	broken := errors.New("line cut")
	_, err := trimlist.ParsePieces(iotest.ErrReader(broken), trimlist.Known{})
	require.ErrorIs(t, err, broken)
	_, err = trimlist.ParseCars(iotest.ErrReader(broken), trimlist.Known{})
	require.ErrorIs(t, err, broken)
}
