package bench

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// listWork is five pieces of two cars, one in each state.
func listWork() []restoration.Work {
	car := restoration.Car{ID: 1, WorkOrder: "26-014", Name: "1936 Brennick Eight", State: restoration.CarInWork, Customer: customer}
	other := restoration.Car{ID: 2, WorkOrder: "26-015", Name: "1951 Ferndale Traveller", State: restoration.CarInWork, Customer: customer}
	grained := restoration.Stage{Key: "grained", Name: "Grained", Look: restoration.LookGrained}
	piece := func(n int, name string, sum restoration.Sum) restoration.Piece {
		sum.NextStep, sum.Left, sum.Look = testID(100+n), 90, restoration.LookGrounded
		return restoration.Piece{ID: testID(n), Details: restoration.Details{Name: name}, LiesAt: "Rack 1", Sum: sum}
	}
	held := piece(5, "Held", restoration.Sum{})
	held.Holding = &restoration.Hold{Reason: "A part is missing", Since: wednesday}
	return []restoration.Work{
		{Car: car, Stage: grained, StepLeft: 90, Piece: piece(1, "Late window", restoration.Sum{LateFrom: wednesday.Add(3 * time.Hour)})},
		{Car: other, Stage: grained, StepLeft: 75, Piece: piece(2, "Plain", restoration.Sum{})},
		{Car: car, Stage: grained, Piece: piece(3, "Hardens", restoration.Sum{GateFrom: wednesday.Add(5 * time.Hour)})},
		{Car: other, Stage: grained, Piece: piece(4, "Another's", restoration.Sum{}), HandBy: 8, HandName: "Ben", HandSince: wednesday.Add(-time.Hour)},
		{Car: car, Stage: grained, Piece: piece(6, "Mine", restoration.Sum{}), HandBy: 7, HandName: "Ada", HandSince: wednesday},
		{Car: car, Stage: grained, Piece: held},
	}
}

func names(v listView) (groups [][]string) {
	for _, g := range v.Groups {
		var list []string
		for _, t := range g.Tiles {
			list = append(list, t.Name)
		}
		groups = append(groups, list)
	}
	return groups
}

func TestLists(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		which, car string
		want       [][]string
	}{
		"ready":                {"ready", "", [][]string{{"Late window", "Plain"}}},
		"ready of one car":     {"ready", "26-015", [][]string{{"Plain"}}},
		"waiting, then held":   {"waiting", "", [][]string{{"Hardens"}, {"Held"}}},
		"mine, then others'":   {"hand", "", [][]string{{"Mine"}, {"Another's"}}},
		"others' of one car":   {"hand", "26-015", [][]string{{"Another's"}}},
		"nothing of that car":  {"waiting", "26-015", nil},
		"a car that never was": {"ready", "<x>", nil},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			v := buildList(listInput{Which: c.which, Work: listWork(), Car: c.car, Person: 7, Now: wednesday, Loc: time.UTC})
			require.Equal(t, c.want, names(v))
			require.Equal(t, c.want == nil, v.Empty != nil)
			require.Len(t, v.Cars, 3, "all, and one for each car")
		})
	}
}

func TestTileSaysWhatAndWhy(t *testing.T) {
	t.Parallel()
	v := buildList(listInput{Which: "ready", Work: listWork(), Person: 7, Now: wednesday, Loc: time.UTC})
	got := v.Groups[0].Tiles[0]
	require.Equal(t, []string{"Late window", "26-014 · 1936 Brennick Eight", "Rack 1", "1.5 h", "Grained", "grounded", "next coat within 3 h"},
		[]string{got.Name, got.Car, got.Place, got.Hours, got.NextWord, got.NowWord, got.Why})
	require.True(t, got.Alert)
	v = buildList(listInput{Which: "waiting", Work: listWork(), Person: 7, Now: wednesday, Loc: time.UTC})
	require.Equal(t, "touch again 14:00, in 5 h", v.Groups[0].Tiles[0].Why)
	require.Equal(t, "held: A part is missing", v.Groups[1].Tiles[0].Why)
}

func TestEmptyListsSayWhatToDo(t *testing.T) {
	t.Parallel()
	for which, says := range map[string]string{
		"ready": "Ask the owner to take in the next car.", "waiting": "Nothing hardens and nothing is on hold.", "hand": "Choose a piece and touch Start.",
	} {
		v := buildList(listInput{Which: which, Now: wednesday, Loc: time.UTC})
		require.Equal(t, says, v.Empty.Next)
		require.Empty(t, v.Cars)
	}
	waiting := listWork()[2:3]
	v := buildList(listInput{Which: "ready", Work: waiting, Now: wednesday, Loc: time.UTC})
	require.Equal(t, "/bench/waiting", v.Empty.Href)
}

func TestNavCounts(t *testing.T) {
	t.Parallel()
	var words []string
	for _, item := range navItems(listWork(), wednesday, 7) {
		words = append(words, item.Word)
	}
	require.Equal(t, []string{"Ready now 2", "Waiting 1", "In hand 1"}, words)
	require.Equal(t, "Ready now", navItems(nil, wednesday, 7)[0].Word)
}
