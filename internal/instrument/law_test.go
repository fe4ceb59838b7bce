package instrument_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/instrument"
)

// Law: readings written in any of the ways that instruments write come back as they
// were.
func TestReadLaw(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		sep := rapid.SampledFrom([]string{",", ";", "\t"}).Draw(t, "separator")
		comma := sep != "," && rapid.Bool().Draw(t, "decimal comma")
		tenths := rapid.SliceOfN(rapid.IntRange(0, 20_000), 1, 30).Draw(t, "tenths of a µm")
		var b strings.Builder
		b.WriteString(rapid.SampledFrom([]string{"", "Batch 12\n", "\n\n"}).Draw(t, "above"))
		fmt.Fprintf(&b, "Film%sPiece\n", sep)
		for i, v := range tenths {
			cell := strconv.FormatFloat(float64(v)/10, 'f', -1, 64)
			if comma {
				cell = strings.Replace(cell, ".", ",", 1)
			}
			fmt.Fprintf(&b, "%s%sPiece %d\n", cell, sep, i)
		}
		data := []byte(b.String())

		head, err := instrument.Columns(data)
		require.NoError(t, err)
		require.Equal(t, []string{"Film", "Piece"}, head.Columns)
		require.Equal(t, sep[0], head.Separator)
		require.Empty(t, head.Mixed)
		rows, faults := instrument.Read(data, instrument.Choice{Value: 1, Piece: 2})
		require.Empty(t, faults)
		require.Len(t, rows, len(tenths))
		for i, v := range tenths {
			require.Equal(t, float64(v)/10, *rows[i].Values.FilmUM)
			require.Equal(t, fmt.Sprintf("Piece %d", i), rows[i].Piece)
		}
	})
}

// Laws: nothing panics; the head and the rows agree; every fault says what is wrong
// and what to do; every reading is within its range.
func FuzzRead(f *testing.F) {
	f.Add([]byte("Piece;Film\nDash;104,5\n"), 1, 0, 2, 0, 0, 0, 0, 0)
	f.Add([]byte("Batch\nPiece\tL\ta\tb\tGU\tAngle\nDash\t50\t1\t1\t80\t20\n"), 1, 0, 0, 2, 3, 4, 5, 6)
	f.Add([]byte("1\n\"2\n3\"x\n\xb5,,\n"), 0, 0, 1, 0, 0, 0, 0, 0)
	f.Add([]byte("a,b\n1.5,\"1,5\"\n2,2.5\n"), 0, 0, 2, 0, 0, 0, 1, -1)
	f.Fuzz(func(t *testing.T, data []byte, piece, spot, value, l, a, b, gloss, angle int) {
		head, err := instrument.Columns(data)
		rows, faults := instrument.Read(data, instrument.Choice{Piece: piece, Spot: spot, Value: value, L: l, A: a, B: b, Gloss: gloss, Angle: angle})
		if err != nil {
			require.Empty(t, rows)
			require.NotEmpty(t, faults)
		}
		require.LessOrEqual(t, len(rows), head.Rows)
		require.LessOrEqual(t, len(faults), instrument.MaxFaults+2)
		for _, fault := range append(faults, head.Mixed...) {
			require.NotEmpty(t, fault.What)
			require.NotEmpty(t, fault.Do)
		}
		for _, name := range head.Columns {
			require.NotEmpty(t, name)
		}
		for _, row := range rows {
			checkRow(t, row)
		}
	})
}

func checkRow(t *testing.T, row instrument.Row) {
	t.Helper()
	v := row.Values
	require.Positive(t, row.Line)
	require.NotEqual(t, instrument.Values{}, v)
	if v.FilmUM != nil {
		require.True(t, *v.FilmUM >= 0 && *v.FilmUM <= 2000)
	}
	if v.Lab != nil {
		require.NoError(t, v.Lab.Check())
	}
	if v.Gloss != nil {
		require.NoError(t, v.Gloss.Check())
	}
}
