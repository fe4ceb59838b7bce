package instrument_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/colour"
	"scumble/internal/instrument"
)

func film(um float64) instrument.Values { return instrument.Values{FilmUM: &um} }

func report(faults []instrument.Fault) []string {
	var lines []string
	for _, f := range faults {
		lines = append(lines, f.String())
	}
	return lines
}

func TestReadFilm(t *testing.T) {
	t.Parallel()
	export := "Batch 12\nSpot;Film;Piece\n1;104,5;Dash  panel\n2;98;Dash panel\n\n;0;Cap\n3;2000;Cap\n"
	rows, faults := instrument.Read([]byte(export), instrument.Choice{Piece: 3, Spot: 1, Value: 2})
	require.Empty(t, faults)
	require.Equal(t, []instrument.Row{
		{Line: 3, Piece: "Dash panel", Spot: "1", Values: film(104.5)},
		{Line: 4, Piece: "Dash panel", Spot: "2", Values: film(98)},
		{Line: 6, Piece: "Cap", Values: film(0)},
		{Line: 7, Piece: "Cap", Spot: "3", Values: film(2000)},
	}, rows)
}

func TestReadMils(t *testing.T) {
	t.Parallel()
	rows, faults := instrument.Read([]byte("mil\n2.0\n4.1\n"), instrument.Choice{Value: 1, Mils: true})
	require.Empty(t, faults)
	require.InDelta(t, 50.8, *rows[0].Values.FilmUM, 1e-9) // 1 mil is 25.4 µm by definition
	require.InDelta(t, 104.14, *rows[1].Values.FilmUM, 1e-9)
	_, faults = instrument.Read([]byte("mil\n4.1\n104\n"), instrument.Choice{Value: 1, Mils: true})
	require.Equal(t, []string{`line 3, column mil: "104" mils are more than 78.7. Typed in µm? Choose the unit of the column again, or correct the reading.`}, report(faults))
}

func TestReadColourAndGloss(t *testing.T) {
	t.Parallel()
	export := "Piece\tL*\ta*\tb*\tGU\tAngle\nDash\t52.1\t14.0\t−3.5\t84.5\t20°\nCap\t51.9\t13.8\t33\t\t\nRail\t\t\t\t30\t60\n"
	rows, faults := instrument.Read([]byte(export), instrument.Choice{Piece: 1, L: 2, A: 3, B: 4, Gloss: 5, Angle: 6})
	require.Empty(t, faults)
	require.Equal(t, []instrument.Row{
		{Line: 2, Piece: "Dash", Values: instrument.Values{Lab: &colour.Lab{L: 52.1, A: 14, B: -3.5}, Gloss: &colour.Gloss{GU: 84.5, Angle: 20}}},
		{Line: 3, Piece: "Cap", Values: instrument.Values{Lab: &colour.Lab{L: 51.9, A: 13.8, B: 33}}},
		{Line: 4, Piece: "Rail", Values: instrument.Values{Gloss: &colour.Gloss{GU: 30, Angle: 60}}},
	}, rows)

	rows, faults = instrument.Read([]byte("Piece;GU\nDash;84\n"), instrument.Choice{Piece: 1, Gloss: 2, GlossAngle: 20})
	require.Empty(t, faults)
	require.Equal(t, colour.Gloss{GU: 84, Angle: 20}, *rows[0].Values.Gloss)
}

const wide = "Piece;Film;L;a;b;GU;Angle\n"

func TestReadFaults(t *testing.T) {
	t.Parallel()
	tests := []struct{ name, row, want string }{
		{"sound", "Dash;100;50;1;1;80;20", ""},
		{"nothing read but the film", "Dash;100;;;;;", ""},
		{"blank cells beyond the header", "Dash;100;50;1;1;80;20; ;", ""},
		{"in tenths", "Dash;3000;50;1;1;80;20", `column Film: "3000" is more than 2,000 µm. Typed in tenths? Or mils? Choose the unit of the column again, or correct the reading.`},
		{"below nothing", "Dash;-0.1;50;1;1;80;20", `column Film: "-0.1" is less than no film.`},
		{"unit in the cell", "Dash;104 µm;50;1;1;80;20", `column Film: "104 µm" is no number. Write digits only, without a unit.`},
		{"exponent", "Dash;1e2;50;1;1;80;20", `column Film: "1e2" is no number.`},
		{"infinite", "Dash;Inf;50;1;1;80;20", `column Film: "Inf" is no number.`},
		{"no number", "Dash;NaN;50;1;1;80;20", `column Film: "NaN" is no number.`},
		{"two signs", "Dash;--5;50;1;1;80;20", `column Film: "--5" is no number.`},
		{"too long for a number", "Dash;" + strings.Repeat("9", 400) + ";50;1;1;80;20", `column Film: "9999`},
		{"other decimal sign", "Dash;104,5;50;1;1;80;20", `column Film: "104,5" has a decimal comma, the other numbers a decimal point.`},
		{"thousands", "Dash;1,104.5;50;1;1;80;20", `column Film: "1,104.5" has a decimal comma, the other numbers a decimal point.`},
		{"lightness over 100", "Dash;100;152;1;1;80;20", `column L: L* 152 is out of range: it goes from 0 to 100. Correct the reading`},
		{"colour half there", "Dash;100;50;;1;80;20", `column a: the cell is empty and the others of the colour are not.`},
		{"gloss of metal", "Dash;100;50;1;1;900;20", `column GU: a gloss of 900 GU is out of range`},
		{"another angle", "Dash;100;50;1;1;80;45", `column Angle: "45" is no angle of a gloss meter. Write 20, 60 or 85.`},
		{"gloss without angle", "Dash;100;50;1;1;80;", `column Angle: "" is no angle of a gloss meter.`},
		{"no piece", " ;100;50;1;1;80;20", `column Piece: the cell is empty. Write the piece that was measured.`},
		{"piece on two lines", "\"Da\nsh\";100;50;1;1;80;20", `column Piece: "Da\nsh" holds a line break or another control sign.`},
		{"piece too long", strings.Repeat("x", 101) + ";100;50;1;1;80;20", `column Piece: the text has 101 characters. Shorten it to 100.`},
		{"no reading", "Dash;;;;;;", `there is no reading on this line. Delete the line, or choose another column.`},
		{"too few cells", "Mean;100", `the table has 7 columns and this line 2.`},
		{"too many cells", "Dash;100;50;1;1;80;20;9", `the table has 7 columns and this line 8.`},
		{"stray quote", "8\" dash;100;50;1;1;80;20", `column Piece: a double quote stands inside a cell`},
	}
	choice := instrument.Choice{Piece: 1, Value: 2, L: 3, A: 4, B: 5, Gloss: 6, Angle: 7, Decimal: instrument.DecimalPoint}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			rows, faults := instrument.Read([]byte(wide+"First;100.5;50;1;1;80;20\n"+tt.row+"\nLast;99.5;50;1;1;80;20\n"), choice)
			if tt.want == "" {
				require.Empty(t, faults)
				require.Len(t, rows, 3)
				return
			}
			require.Len(t, faults, 1)
			require.Contains(t, faults[0].String(), "line 3")
			require.Contains(t, faults[0].String(), tt.want)
			require.Len(t, rows, 2, "the rows without fault are there")
		})
	}
}

func TestReadGivesAllFaultsAtOnce(t *testing.T) {
	t.Parallel()
	rows, faults := instrument.Read([]byte("Piece;Film;L;a;b\n;3000;152;-129;x\nDash;100;50;1;1\nCap;-1;;;\nRail;1;50;200;128\n"),
		instrument.Choice{Piece: 1, Value: 2, L: 3, A: 4, B: 5})
	require.Len(t, rows, 1)
	require.Equal(t, []string{
		"line 2, column Piece: the cell is empty. Write the piece that was measured.",
		`line 2, column Film: "3000" is more than 2,000 µm. Typed in tenths? Or mils? Choose the unit of the column again, or correct the reading.`,
		`line 2, column b: "x" is no number. Write digits only, without a unit.`,
		`line 4, column Film: "-1" is less than no film. Set the gauge to zero on bare steel and measure again, or correct the reading.`,
		"line 5, column a: a* 200 is out of range: it goes from -128 to 127. Correct the reading, or choose another column.",
		"line 5, column b: b* 128 is out of range: it goes from -128 to 127. Correct the reading, or choose another column.",
	}, report(faults))
}

func TestReadMixedDecimals(t *testing.T) {
	t.Parallel()
	rows, faults := instrument.Read([]byte("Piece;Film;Version\na;101,5;1.2\nb;99.5;1.2\nc;98,5;1.2\n"), instrument.Choice{Piece: 1, Value: 2})
	require.Len(t, rows, 2)
	require.Equal(t, []string{
		`line 3, column Film: "99.5" has a decimal point, the other numbers a decimal comma. Write all numbers with the same sign, and none between thousands.`,
	}, report(faults))
}

func TestReadWrongChoice(t *testing.T) {
	t.Parallel()
	export := []byte("Piece;Film;Note\nDash;104;good\nCap;98;\n")
	tests := []struct {
		name   string
		choice instrument.Choice
		want   string
	}{
		{"nothing", instrument.Choice{Piece: 1}, "line 1: no column is chosen for a reading. Choose the column of the film, the gloss or the colour."},
		{"half a colour", instrument.Choice{L: 1, A: 2}, "line 1: only part of the colour is chosen."},
		{"gloss without angle", instrument.Choice{Gloss: 2}, "line 1: the gloss has no angle. Choose the column of the angle, or say 20°, 60° or 85°."},
		{"an angle that is none", instrument.Choice{Gloss: 2, GlossAngle: 45}, "line 1: the gloss has no angle."},
		{"the same twice", instrument.Choice{Piece: 2, Value: 2}, "line 1, column Film: this column is chosen for the piece and for the film."},
		{"beyond the table", instrument.Choice{Value: 4}, "line 1: column 4 was chosen for the film and the table has 3. Choose the columns again."},
		{"before the table", instrument.Choice{Value: -1}, "line 1: column -1 was chosen for the film"},
		{"words for numbers", instrument.Choice{Piece: 2, Value: 1}, "line 1, column Piece: no cell of this column is a number. Choose another column for the film, or leave it out."},
		{"no decimal sign", instrument.Choice{Value: 2, Decimal: 'x'}, "line 1: 'x' is no decimal sign."},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			rows, faults := instrument.Read(export, tt.choice)
			require.Empty(t, rows)
			require.Len(t, faults, 1)
			require.Contains(t, faults[0].String(), tt.want)
		})
	}
}

// readings is an export of n rows.
func readings(n int, cell string) []byte {
	var b strings.Builder
	b.WriteString("Piece;Spot;Film\n")
	for i := range n {
		fmt.Fprintf(&b, "Piece %d;%d;%s\n", i/3, i%3, cell)
	}
	return []byte(b.String())
}

func TestReadLongExports(t *testing.T) {
	t.Parallel()
	choice := instrument.Choice{Piece: 1, Spot: 2, Value: 3}
	rows, faults := instrument.Read(readings(10_000, "104,5"), choice)
	require.Empty(t, faults)
	require.Len(t, rows, 10_000)
	require.Equal(t, 10_001, rows[9_999].Line)

	rows, faults = instrument.Read(readings(10_000, "3000"), choice)
	require.Empty(t, rows)
	require.Len(t, faults, instrument.MaxFaults+1)
	require.Equal(t, "file: 9800 more faults are not listed. Correct these first.", faults[instrument.MaxFaults].String())

	rows, faults = instrument.Read(readings(instrument.MaxRows+7, "104"), choice)
	require.Len(t, rows, instrument.MaxRows)
	require.Equal(t, []string{"file: the file holds 7 lines more than 50000. Split it and read the parts one by one."}, report(faults))
}

func BenchmarkRead10000(b *testing.B) {
	data := readings(10_000, "104,5")
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		rows, faults := instrument.Read(data, instrument.Choice{Piece: 1, Spot: 2, Value: 3})
		if len(rows) != 10_000 || len(faults) != 0 {
			b.Fatal("not all rows were read")
		}
	}
}
