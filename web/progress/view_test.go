package progress

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

func day(d int) time.Time { return time.Date(2026, 3, d, 0, 0, 0, 0, time.UTC) }

func at(look restoration.Look, n int) []restoration.Piece {
	pieces := make([]restoration.Piece, n)
	for i := range pieces {
		pieces[i].Sum = restoration.Sum{Look: look, NextStep: restoration.ID{1}}
	}
	return pieces
}

func TestLead(t *testing.T) {
	t.Parallel()
	pieces := append(at(restoration.LookGrained, 2), append(at(restoration.LookFitted, 1), at(restoration.LookPrimed, 41)...)...)
	for want, f := range map[string]facts{
		"3 of 44 pieces are grained or further; we expect it between 19 and 27 March 2026.": {pieces: pieces,
			car: restoration.Car{ExpectFrom: day(19), ExpectTo: day(27)}},
		"3 of 44 pieces are grained or further.": {pieces: pieces},
		"3 of 44 pieces are grained or further; it is promised for Thu 19 March 2026.": {pieces: pieces, now: day(19),
			car: restoration.Car{PromisedOn: day(19)}},
		"2 of 2 pieces are grained or further.": {pieces: at(restoration.LookCut, 2), now: day(20), // late: the shop will say more itself
			car: restoration.Car{PromisedOn: day(19)}},
		"1 of 1 piece is grained or further; we expect it about Thu 19 Mar 2026.": {pieces: at(restoration.LookCut, 1),
			car: restoration.Car{ExpectFrom: day(19), ExpectTo: day(19)}},
		"0 of 0 pieces are grained or further; the work rests just now.": {car: restoration.Car{State: restoration.CarOnHold}},
		"The work is finished and the car is delivered.":                 {pieces: pieces, car: restoration.Car{State: restoration.CarDelivered}},
		"0 of 2 pieces are grained or further; we expect it between 27 March 2026 and 2 April 2026.": {pieces: at(restoration.LookOther, 2),
			car: restoration.Car{ExpectFrom: day(27), ExpectTo: day(33)}},
	} {
		require.Equal(t, want, lead(f, time.UTC))
	}
}

func TestNextNamesWhatMostPiecesWaitFor(t *testing.T) {
	t.Parallel()
	held := at(restoration.LookStripped, 5)
	for i := range held {
		held[i].Holding = &restoration.Hold{Reason: "secret"}
	}
	pieces := append(append(at(restoration.LookPrimed, 2), at(restoration.LookGrounded, 2)...), held...)
	require.Equal(t, "Next: the wood grain is painted on 2 pieces.", next(facts{pieces: pieces}), "of two as many the further one; held ones don't count")
	require.Equal(t, "Next: clear coat goes over the grain of 1 piece.", next(facts{pieces: at(restoration.LookGrained, 1)}))
	require.Empty(t, next(facts{}))
}

// Every look has an everyday word and a next thing of its own, and nothing of the
// shop's own shows: no reason of a hold, no note, no name.
func TestPlainWords(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, l := range restoration.Looks() {
		require.False(t, seen[plain(l)], "%s shares its words", l)
		seen[plain(l)] = true
		require.Contains(t, then(l, "7 pieces"), "7 pieces")
	}
}

func TestNothingOfTheShopsOwnShows(t *testing.T) {
	t.Parallel()
	pieces := at(restoration.LookPrimed, 1)
	pieces[0].Holding = &restoration.Hold{Reason: "customer has not paid"}
	pieces[0].Note = "secret note"
	v := viewOf(facts{pieces: pieces, car: restoration.Car{Name: "1936 Brennick Eight", Customer: "E. Marchetti-Lowe", Note: "secret", Ground: "#9a6a3c", Grain: "#3b2413"}})
	require.Equal(t, "waits for something", v.Plan.Pieces[0].Trouble)
	require.Equal(t, "Progress", v.Page.Tab)
	require.NotContains(t, v.Page.Title, "Brennick")
	require.Empty(t, v.Hours)
	require.False(t, v.Clocks)
	named := viewOf(facts{link: restoration.Link{ShowName: true, ShowHours: true}, car: restoration.Car{Name: "1936 Brennick Eight"}, roll: restoration.Roll{Logged: 90, Left: 60}})
	require.Equal(t, "1936 Brennick Eight", named.Page.Title)
	require.Equal(t, "1.5 h worked, 1 h still to go.", named.Hours)
	require.Equal(t, ui.Percent(0), named.Percent)
}

func TestAClockIsExplained(t *testing.T) {
	t.Parallel()
	pieces := at(restoration.LookPrimed, 1)
	pieces[0].Sum.GateFrom = day(20)
	require.True(t, viewOf(facts{pieces: pieces, now: day(19)}).Clocks)
	require.False(t, viewOf(facts{pieces: pieces, now: day(20)}).Clocks)
}

func TestLastWorkedIsWork(t *testing.T) {
	t.Parallel()
	entry := func(k restoration.Kind, d int, r restoration.Result) restoration.Entry {
		return restoration.Entry{Event: restoration.Event{Kind: k, At: day(d)}, Outcome: restoration.Outcome{Result: r}}
	}
	require.Equal(t, day(3), lastWorked([]restoration.Entry{entry(restoration.KindMove, 5, restoration.Applied),
		entry(restoration.KindTick, 4, restoration.Refused), entry(restoration.KindLogTime, 3, restoration.Applied), entry(restoration.KindTick, 2, restoration.Applied)}))
	require.Zero(t, lastWorked(nil))
}
