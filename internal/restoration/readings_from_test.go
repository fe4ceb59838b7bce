package restoration

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/colour"
	"scumble/internal/instrument"
)

func trimPieces() []Piece {
	return []Piece{
		{ID: testID('p', 1), CarID: 1, Label: "34678", Details: Details{Name: "Door moulding", Zone: ZoneLeft}},
		{ID: testID('p', 2), CarID: 1, Label: "4679A", Details: Details{Name: "Door moulding", Zone: ZoneRight}},
		{ID: testID('p', 3), CarID: 1, Details: Details{Name: "Glove door"}},
	}
}

func filmRow(line int, piece, spot string, um float64) instrument.Row {
	return instrument.Row{Line: line, Piece: piece, Spot: spot, Values: instrument.Values{FilmUM: &um}}
}

func TestReadingsFromExport(t *testing.T) {
	t.Parallel()
	lab, gloss := colour.Lab{L: 40, A: 10, B: 20}, colour.Gloss{GU: 84, Angle: 20}
	rows := []instrument.Row{
		filmRow(2, "34678", "A", 208), filmRow(3, "34678", "a", 211), filmRow(4, "door  moulding, RIGHT", "A", 180),
		filmRow(5, "34678", "A", 210), filmRow(6, "34678", "B", 190),
		{Line: 7, Piece: "glove door", Values: instrument.Values{Lab: &lab, Gloss: &gloss}},
	}
	as := ReadingsAs{At: monday, PersonID: 7, Baseline: true, UnderClear: true}
	events, faults := ReadingsFrom(rows, trimPieces(), as)
	require.Empty(t, faults)
	require.Len(t, events, 5)
	require.Equal(t, &Reading{Kind: ReadFilm, Spot: "A", Baseline: true, FilmUM: []float64{208, 211, 210}}, events[0].Reading)
	require.Equal(t, testID('p', 2), events[1].PieceID)
	require.Equal(t, "B", events[2].Reading.Spot)
	require.Equal(t, &Reading{Kind: ReadGloss, Gloss: &gloss}, events[3].Reading)
	require.Equal(t, &Reading{Kind: ReadColour, Lab: &lab, UnderClear: true}, events[4].Reading)
	for _, e := range events {
		require.Equal(t, events[0].Batch, e.Batch)
		require.Equal(t, int64(7), e.PersonID)
		require.Equal(t, monday, e.At)
	}

	again, _ := ReadingsFrom(rows, trimPieces(), as)
	require.Equal(t, events, again, "the same import makes the same ids")
}

// What a reading is called follows from what it says, not from how the file is laid out.
func TestIdsOfReadings(t *testing.T) {
	t.Parallel()
	gloss := colour.Gloss{GU: 84, Angle: 20}
	shines := instrument.Row{Line: 9, Piece: "Glove door", Values: instrument.Values{Gloss: &gloss}}
	rows := []instrument.Row{filmRow(2, "34678", "A", 208), filmRow(3, "34678", "A", 211), filmRow(4, "4679A", "A", 208), shines, shines}
	ids := func(rows []instrument.Row, as ReadingsAs) []ID {
		events, faults := ReadingsFrom(rows, trimPieces(), as)
		require.Empty(t, faults)
		var out []ID
		for _, e := range events {
			out = append(out, e.ID)
		}
		slices.SortFunc(out, func(a, b ID) int { return strings.Compare(a.String(), b.String()) })
		return out
	}
	as := ReadingsAs{At: monday}
	first := ids(rows, as)
	require.Len(t, slices.Compact(slices.Clone(first)), 4, "the same gloss twice is two readings")

	turned := slices.Clone(rows)
	slices.Reverse(turned)
	for i := range turned {
		turned[i].Line = 100 + i
	}
	later := as
	later.At = monday.Add(48 * time.Hour)
	require.Equal(t, first, ids(turned, later), "neither order, lines nor the hour of the import count")

	dated := ReadingsAs{At: monday, Dated: true}
	require.Empty(t, both(first, ids(rows, dated)), "an hour that was said does")
	dated.At = monday.Add(time.Hour)
	require.Empty(t, both(ids(rows, ReadingsAs{At: monday, Dated: true}), ids(rows, dated)))
	baseline := as
	baseline.Baseline = true
	require.Len(t, both(first, ids(rows, baseline)), 2, "a baseline is another reading; gloss knows none")

	rows[0].Values.FilmUM = new(209.0)
	require.Len(t, both(first, ids(rows, as)), 3, "another value is another reading")
	rows[0].Values.FilmUM = new(208.0)

	as.Spent = map[ID]bool{first[1]: true}
	again := ids(rows, as)
	require.Len(t, both(first, again), 3, "what was struck out comes anew")
	for _, id := range again {
		as.Spent[id] = true
	}
	require.Empty(t, both(append(first, again...), ids(rows, as)), "as often as it is struck out")
}

func both(a, b []ID) (out []ID) {
	for _, id := range a {
		if slices.Contains(b, id) {
			out = append(out, id)
		}
	}
	return out
}

func TestReadingsThatFindNoPiece(t *testing.T) {
	t.Parallel()
	long := ""
	for range MaxPlace + 1 {
		long += "x"
	}
	rows := []instrument.Row{filmRow(2, "Door moulding", "A", 1), filmRow(3, "Ash tray", "A", 2), filmRow(4, "Glove door", long, 3),
		filmRow(5, "", "A", 4), filmRow(6, "Glove door", "A", 5)}
	events, faults := ReadingsFrom(rows, trimPieces(), ReadingsAs{At: monday})
	require.Len(t, events, 1)
	var said []string
	for _, f := range faults {
		said = append(said, f.String())
	}
	require.Equal(t, []string{
		`line 2: 2 pieces are called "Door moulding". Write the label code of the piece, or its name with its side, such as "Door moulding, left".`,
		`line 3: no piece is called "Ash tray". Write the label code of the piece, or its name as in the list.`,
		`line 4: the name of the spot is longer than 60 characters. Shorten it.`,
		`line 5: no piece is called "". Write the label code of the piece, or its name as in the list.`,
	}, said)

	one, faults := ReadingsFrom(rows[3:4], trimPieces()[2:], ReadingsAs{At: monday})
	require.Empty(t, faults, "where there is one piece, no name is needed")
	require.Len(t, one, 1)
}

func TestTenThousandReadings(t *testing.T) {
	t.Parallel()
	var rows []instrument.Row
	for i := range 10_000 {
		rows = append(rows, filmRow(i+2, "Glove door", fmt.Sprint("spot ", i%2500), float64(100+i/2500)))
	}
	events, faults := ReadingsFrom(rows, trimPieces(), ReadingsAs{At: monday})
	require.Empty(t, faults)
	require.Len(t, events, 2500)
	ids := map[ID]bool{}
	for _, e := range events {
		require.Equal(t, []float64{100, 101, 102, 103}, e.Reading.FilmUM)
		ids[e.ID] = true
	}
	require.Len(t, ids, 2500)
}
