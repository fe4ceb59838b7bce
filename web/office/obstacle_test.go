package office

import (
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func texts(list []obstacle) []string {
	var out []string
	for _, x := range list {
		out = append(out, x.Text)
	}
	return out
}

func rollOf(state restoration.CarState, pieces ...restoration.Piece) restoration.Roll {
	return restoration.SumUp(state, pieces, map[int64]restoration.Route{1: stock()}, noon)
}

func TestObstaclesWorstFirst(t *testing.T) {
	t.Parallel()
	held := opened(t, "glove-box door", restoration.Details{})
	held.does(restoration.Event{Kind: restoration.KindHold, At: noon.AddDate(0, 0, -3), Payload: restoration.Payload{Reason: "hinge pin to be found"}})
	shut := opened(t, "ash tray", restoration.Details{})
	shut.ticks(1, noon.Add(-30*time.Hour))
	pieces := []restoration.Piece{held.Piece, shut.Piece}
	v := testView()
	v.Car.State, v.Car.HoldReason, v.Car.HeldSince = restoration.CarOnHold, "owner abroad", noon.AddDate(0, 0, -9)
	// A medium piece takes 9.5 h: 1 stripped, 0.7, 2, 0.5, 1.2, 1.5, 2, 0.6. The tray has 1 h less.
	require.Equal(t, []string{
		"The car is on hold since Wed 18 Mar 2026: owner abroad.",
		"Glove-box door is held for 3 days: hinge pin to be found.",
		"The recoat window of ash tray is shut.",
		"Most of the work lies in blocked: 4 h on 2 pieces.", // and as much in cut, which comes later,
	}, texts(v.obstacles(pieces, nil, rollOf(v.Car.State, pieces...))))
}

// What keeps the car stands before the statistics: sent back, held, refused.
func TestObstaclesBeforeStatistics(t *testing.T) {
	t.Parallel()
	cost := restoration.Minutes(6 * 60)
	back := opened(t, "door capping", restoration.Details{Zone: restoration.ZoneLeft, Side: restoration.SideLeft})
	back.ticks(7, noon.AddDate(0, 0, -10))
	back.does(restoration.Event{Kind: restoration.KindSendBack, Payload: restoration.Payload{Defect: "cut-through", Stage: "grained", Hours: &cost}})
	grained := opened(t, "rail", restoration.Details{})
	grained.ticks(5, noon.AddDate(0, 0, -10))
	held := opened(t, "lid", restoration.Details{})
	held.ticks(3, noon.AddDate(0, 0, -10))
	held.does(restoration.Event{Kind: restoration.KindHold, Payload: restoration.Payload{Reason: "lost"}})
	refused := []restoration.Entry{{Piece: "rail", Stage: "Cut", Event: restoration.Event{ID: newID(), Kind: restoration.KindTick, PieceID: grained.ID},
		Outcome: restoration.Outcome{Result: restoration.Refused, Reason: "Not yet."}}}
	pieces := []restoration.Piece{grained.Piece, back.Piece, held.Piece}
	list := testView().obstacles(pieces, refused, rollOf(restoration.CarInWork, pieces...))
	said := texts(list)
	require.Equal(t, []string{
		"3.03 h can be begun at once.",
		"Door capping, left was sent back: 6 h of rework left.",
		"Lid is held for less than a day: lost.",
		"Rail: Refused: Ticked cut. Not yet.",
	}, said[:4])
	require.Contains(t, said[4], "Most of the work lies in")
}

// What was refused and went through since holds the car no longer; it stands in what needs
// a look until somebody settles it.
func TestWhatWentThroughSinceIsNoObstacle(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "X"}, 2)
	for _, p := range pieces {
		f.enter(restoration.Refused, restoration.Event{Kind: restoration.KindHold, PieceID: p.ID})
	}
	holds := func() string {
		return text(f.page(carPath(car.WorkOrder)).within("live").all("ol", "class", "obstacles")[0])
	}
	require.Equal(t, 2, strings.Count(holds(), "Refused: "))
	f.enter(restoration.Applied, restoration.Event{Kind: restoration.KindHold, PieceID: pieces[0].ID, Payload: restoration.Payload{Reason: "hinge pin"}})
	require.Equal(t, 1, strings.Count(holds(), "Refused: "), holds())
	require.Contains(t, f.page("/office").within("look").text(), "Went through since.")
}

// Only what still holds is named and counted.
func TestObstaclesCountWhatStillHolds(t *testing.T) {
	t.Parallel()
	var refused []restoration.Entry
	for i := range 2 * maxNamed {
		refused = append(refused, restoration.Entry{Piece: "rail", Stage: "Cut", Through: i%2 == 0,
			Event:   restoration.Event{ID: newID(), Kind: restoration.KindTick, PieceID: newID()},
			Outcome: restoration.Outcome{Result: restoration.Refused, Reason: "Not yet."}})
	}
	require.Len(t, testView().refusedEntries(refused), maxNamed)
	refused[0].Through = false
	list := testView().refusedEntries(refused)
	require.Equal(t, "1 more entry was refused.", list[maxNamed].Text)
	require.True(t, refused[2].Through, "the list is the caller's")
}

// The piece that is furthest behind is the one that has come least far, though another
// has more hours left.
func TestFurthestBehindIsTheEarliestStage(t *testing.T) {
	t.Parallel()
	early := opened(t, "cap", restoration.Details{})
	early.ticks(1, noon.AddDate(0, 0, -20))
	long := opened(t, "dash", restoration.Details{})
	long.ticks(2, noon.AddDate(0, 0, -20))
	more := restoration.Minutes(60 * 60)
	long.does(restoration.Event{Kind: restoration.KindStillToGo, StepID: long.Sum.NextStep, PersonID: 7, Payload: restoration.Payload{StillToGo: &more}})
	require.Greater(t, long.Sum.Left, early.Sum.Left)
	list := testView().furthestBehind([]restoration.Piece{long.Piece, early.Piece})
	require.Len(t, list, 1)
	require.Equal(t, "Cap is furthest behind: 8.5 h left, stripped.", list[0].Text)
	require.Empty(t, testView().furthestBehind([]restoration.Piece{early.Piece, early.Piece}), "none is behind where all are as far")
}

// The list behind "most of the work lies in …" shows what the sentence counts.
func TestHeaviestStageOpensWhatItCounts(t *testing.T) {
	t.Parallel()
	var pieces []restoration.Piece
	for i := range 4 {
		w := opened(t, "cap", restoration.Details{})
		w.ticks(2*i, noon.AddDate(0, 0, -20))
		pieces = append(pieces, w.Piece)
	}
	roll := rollOf(restoration.CarInWork, pieces...)
	said := testView().heaviestStage(pieces, roll)[0]
	require.Contains(t, said.Text, "in cut: 8 h on 4 pieces.")
	address, err := url.Parse(said.Href)
	require.NoError(t, err)
	require.Equal(t, "pieces", address.Fragment)
	table := newPieceTable(testView().rows(pieces), address, nil)
	require.Len(t, table.Rows, 4)
	require.Equal(t, "Of it cut, h", table.Part.Word)
	require.Equal(t, restoration.Minutes(8*60), table.Part.Sum)
}

func TestObstacleNothingButWaits(t *testing.T) {
	t.Parallel()
	first := opened(t, "cap", restoration.Details{})
	first.ticks(2, noon.Add(-4*time.Hour))
	second := opened(t, "rail", restoration.Details{})
	second.ticks(2, noon.Add(-2*time.Hour))
	pieces := []restoration.Piece{second.Piece, first.Piece}
	list := testView().obstacles(pieces, nil, rollOf(restoration.CarInWork, pieces...))
	require.Equal(t, "Nothing can be worked now: 15.6 h lie on pieces that wait for paint to harden.", list[0].Text)
	require.Equal(t, "First again is cap, Sat 00:00 (in 12 h).", list[0].Help)
	require.Equal(t, piecePath(first.ID), list[0].Href)
}

func TestObstacleManyHeldAreCounted(t *testing.T) {
	t.Parallel()
	var pieces []restoration.Piece
	for range 5 {
		w := opened(t, "cap", restoration.Details{})
		w.does(restoration.Event{Kind: restoration.KindHold, Payload: restoration.Payload{Reason: "lost"}})
		pieces = append(pieces, w.Piece)
	}
	list := testView().obstacles(pieces, nil, rollOf(restoration.CarInWork, pieces...))
	require.Equal(t, "2 more pieces are held.", list[3].Text)
	require.Equal(t, "/office/cars/26-014?now=held#pieces", list[3].Href)
}

func TestNoObstacleWhenNothingIsLeft(t *testing.T) {
	t.Parallel()
	w := opened(t, "cap", restoration.Details{})
	w.ticks(8, noon)
	require.Empty(t, testView().obstacles([]restoration.Piece{w.Piece}, nil, rollOf(restoration.CarInWork, w.Piece)))
	require.Empty(t, testView().obstacles(nil, nil, restoration.Roll{}))
	v := testView()
	v.Car.State = restoration.CarDelivered
	open := opened(t, "cap", restoration.Details{})
	require.Empty(t, v.obstacles([]restoration.Piece{open.Piece}, nil, rollOf(restoration.CarDelivered, open.Piece)))
}
