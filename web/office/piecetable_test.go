package office

import (
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestRowSaysWhereItStands(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		live  func(w *workpiece)
		car   restoration.CarState
		now   string
		words string
		span  string
	}{
		"fresh": {live: func(*workpiece) {}, now: nowWorkable, words: "can be worked now"},
		// Primed at noon less 2 h; high-build asks for 16 h before it is sanded.
		"waits": {live: func(w *workpiece) { w.ticks(2, noon.Add(-2*hour)) }, now: nowWaiting, words: "waits until Sat 02:00", span: "in 14 h"},
		"in hand": {live: func(w *workpiece) {
			w.does(restoration.Event{Kind: restoration.KindStart, StepID: w.Sum.NextStep, PersonID: 7, At: noon.Add(-hour)})
		}, now: nowInHand, words: "in hand", span: "since 11:00"},
		"held": {live: func(w *workpiece) {
			w.does(restoration.Event{Kind: restoration.KindHold, At: noon.AddDate(0, 0, -4), Payload: restoration.Payload{Reason: "hinge pin"}})
		}, now: nowHeld, words: "held: hinge pin", span: "since Mon 23 Mar 2026"},
		"held with its car": {live: func(*workpiece) {}, car: restoration.CarOnHold, now: nowHeld, words: "held with the car"},
		// Bare steel is to be primed within 24 h.
		"window shuts": {live: func(w *workpiece) { w.ticks(1, noon.Add(-20*hour)) }, now: nowWorkable, words: "can be worked now", span: "window shuts 16:00"},
		"window shut":  {live: func(w *workpiece) { w.ticks(1, noon.Add(-25*hour)) }, now: nowWorkable, words: "can be worked now", span: "bare too long: clean first"},
		"finished":     {live: func(w *workpiece) { w.ticks(8, noon.Add(-hour)) }, now: nowFinished, words: "finished"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := opened(t, "glove-box door", restoration.Details{})
			tc.live(w)
			v := testView()
			if tc.car != "" {
				v.Car.State = tc.car
			}
			row := v.row(w.Piece)
			require.Equal(t, tc.now, row.Now)
			require.Equal(t, tc.words, row.Words)
			require.Equal(t, tc.span, row.Span)
		})
	}
}

func TestRowNamesWhoWasLast(t *testing.T) {
	t.Parallel()
	w := opened(t, "ash tray", restoration.Details{})
	w.ticks(3, noon.AddDate(0, 0, -5))
	row := testView().row(w.Piece)
	require.Equal(t, "Ida Marl", row.Who)
	require.Equal(t, int64(7), row.PersonID)
	require.Equal(t, "Blocked", row.Reached)
	require.Equal(t, "Grounded", row.Next)
}

func tableRows(t *testing.T) []pieceRow {
	t.Helper()
	dash := opened(t, "dash", restoration.Details{Set: "front"})
	tray := opened(t, "Ash tray", restoration.Details{Zone: restoration.ZoneRear})
	tray.ticks(3, noon.AddDate(0, 0, -20))
	cap := opened(t, "cap", restoration.Details{Zone: restoration.ZoneLeft, Set: "caps"})
	cap.does(restoration.Event{Kind: restoration.KindHold, Payload: restoration.Payload{Reason: "lost"}})
	return testView().rows([]restoration.Piece{dash.Piece, cap.Piece, tray.Piece})
}

func names(rows []pieceRow) []string {
	var out []string
	for _, r := range rows {
		out = append(out, r.Name)
	}
	return out
}

func TestTableKeepsItsStateInTheAddress(t *testing.T) {
	t.Parallel()
	for query, want := range map[string][]string{
		"":                       {"dash", "cap", "Ash tray"},
		"sort=piece":             {"Ash tray", "cap", "dash"},
		"sort=-piece":            {"dash", "cap", "Ash tray"},
		"sort=left":              {"Ash tray", "dash", "cap"}, // equal hours keep the order of the plan
		"sort=-left":             {"dash", "cap", "Ash tray"},
		"sort=nonsense":          {"dash", "cap", "Ash tray"},
		"sort=-nonsense":         {"dash", "cap", "Ash tray"},
		"zone=rear":              {"Ash tray"},
		"set=caps":               {"cap"},
		"set=-":                  {"Ash tray"},
		"stage=grounded":         {"Ash tray"},
		"stage=stripped&zone=":   {"dash", "cap"},
		"person=7":               {"Ash tray"},
		"now=held":               {"cap"},
		"now=workable&sort=-who": {"Ash tray", "dash"},
		"now=waiting":            nil,
		"zone=%27+OR+1%3D1":      nil,
	} {
		t.Run(query, func(t *testing.T) {
			t.Parallel()
			table := newPieceTable(tableRows(t), &url.URL{Path: "/office/cars/26-014", RawQuery: query}, nil)
			require.Equal(t, want, names(table.Rows))
			require.Equal(t, 3, table.All)
		})
	}
}

// What the table adds up is what its rows show.
func TestTableTotalsAreTheRows(t *testing.T) {
	t.Parallel()
	table := newPieceTable(tableRows(t), &url.URL{RawQuery: "now=workable"}, nil)
	var left, planned, logged restoration.Minutes
	for _, r := range table.Rows {
		left, planned, logged = left+r.Left, planned+r.Planned, logged+r.Logged
	}
	require.Len(t, table.Rows, 2)
	require.Positive(t, left)
	require.Equal(t, []restoration.Minutes{left, planned, logged}, []restoration.Minutes{table.Left, table.Planned, table.Logged})
}

func TestFiltersOfferWhatThereIs(t *testing.T) {
	t.Parallel()
	table := newPieceTable(tableRows(t), &url.URL{RawQuery: "set=caps"}, nil)
	require.True(t, table.Filtered)
	words := map[string][]string{}
	for _, f := range table.Filters {
		for _, o := range f.Options[1:] {
			words[f.Name] = append(words[f.Name], o.Word)
		}
	}
	require.Equal(t, []string{"next: Stripped", "next: Grounded"}, words[filterStage])
	require.Equal(t, []string{"no set", "caps", "front"}, words[filterSet])
	require.Equal(t, []string{"front", "left", "rear"}, words[filterZone])
	require.Equal(t, []string{"Ida Marl"}, words[filterPerson])
}

// The hours of one stage, piece by piece, add up to its line in the table of hours.
func TestHoursOfAStageAddUp(t *testing.T) {
	t.Parallel()
	done, fresh := opened(t, "ash tray", restoration.Details{}), opened(t, "door cap", restoration.Details{})
	done.ticks(2, noon.AddDate(0, 0, -5))
	done.does(restoration.Event{Kind: restoration.KindSendBack, Payload: restoration.Payload{Defect: restoration.DefectOther, Stage: "primed", Note: "dust"}})
	pieces := []restoration.Piece{done.Piece, fresh.Piece}
	v := testView()
	roll := restoration.SumUp(restoration.CarInWork, pieces, v.Routes, noon)
	for _, stage := range roll.Stages {
		table := newPieceTable(v.rows(pieces), &url.URL{RawQuery: url.Values{filterHours: {stage.Stage}}.Encode()}, nil)
		require.Equal(t, []restoration.Minutes{stage.Planned, stage.Logged, stage.Left}, []restoration.Minutes{table.Planned, table.Logged, table.Left}, stage.Stage)
		require.Equal(t, lowerFirst(stage.Name), table.HoursOf)
	}
	none := newPieceTable(v.rows(pieces), &url.URL{RawQuery: "hours=varnished"}, nil)
	require.Empty(t, none.Rows)
}
