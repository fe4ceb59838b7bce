package bench

import (
	"fmt"
	"strconv"
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

// keysOf gives what the lists need of work.
func keysOf(work []restoration.Work) []restoration.WorkKey {
	var keys []restoration.WorkKey
	for _, w := range work {
		k := restoration.WorkKey{Car: &w.Car, PieceID: w.Piece.ID, Name: w.Piece.Name, Look: w.Piece.Sum.Look, Stage: w.Stage.Key, StageName: w.Stage.Name, NextPosition: w.NextPosition,
			HandBy: w.HandBy, HandSince: w.HandSince,
			GateFrom: w.Piece.Sum.GateFrom, LateFrom: w.Piece.Sum.LateFrom, Left: w.Piece.Sum.Left}
		if w.Piece.Holding != nil {
			k.HeldSince = w.Piece.Holding.Since
		}
		keys = append(keys, k)
	}
	return keys
}

// listOf arranges a list of work for Ada and draws it.
func listOf(which, car string, work []restoration.Work) listView {
	in := listInput{Which: which, Keys: keysOf(work), Car: car, Person: 7, Now: wednesday, Loc: time.UTC}
	parts := in.parts()
	v := buildList(in, in.drawn(parts), work)
	v.Chips = chips(in, parts)
	return v
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
		"mine, then ready":     {"ready", "", [][]string{{"Mine"}, {"Late window", "Plain"}}},
		"ready of one car":     {"ready", "26-015", [][]string{{"Plain"}}},
		"waiting, then held":   {"waiting", "", [][]string{{"Hardens"}, {"Held"}}},
		"mine, then others'":   {"hand", "", [][]string{{"Mine"}, {"Another's"}}},
		"others' of one car":   {"hand", "26-015", [][]string{{"Another's"}}},
		"nothing of that car":  {"waiting", "26-015", nil},
		"a car that never was": {"ready", "<x>", nil},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			v := listOf(c.which, c.car, listWork())
			require.Equal(t, c.want, names(v))
			require.Equal(t, c.want == nil, v.Empty != nil)
			require.Len(t, v.Chips[0].First, 3, "all, and one for each car")
		})
	}
}

// manyCars is so many cars with so many pieces each, all ready but the first of each,
// which is held; the later cars are promised earlier.
func manyCars(cars, pieces int) []restoration.Work {
	var work []restoration.Work
	for c := range cars {
		car := restoration.Car{ID: int64(c + 1), WorkOrder: fmt.Sprintf("26-%03d", c+1), Name: "1936 Brennick Eight", State: restoration.CarInWork,
			PromisedOn: wednesday.AddDate(0, 0, 100-c)}
		for p := range pieces {
			piece := restoration.Piece{ID: testID(1000 + c*pieces + p), Details: restoration.Details{Name: fmt.Sprintf("Moulding %d", p)}}
			if p == 0 {
				piece.Holding = &restoration.Hold{Reason: "A part is missing", Since: wednesday}
			}
			work = append(work, restoration.Work{Car: car, Piece: piece})
		}
	}
	return work
}

// words are the chips' words, the one that is chosen in brackets.
func words(chips []chip) (list []string) {
	for _, c := range chips {
		if c.Active {
			c.Word = "[" + c.Word + "]"
		}
		list = append(list, c.Word)
	}
	return list
}

func TestALongListDrawsWhatComesFirst(t *testing.T) {
	t.Parallel()
	work := manyCars(12, 130)
	v := listOf("ready", "", work)
	require.Len(t, v.Groups[0].Tiles, 40)
	require.Equal(t, "And 1508 more. Choose a car.", v.Groups[0].More)
	require.Equal(t, []string{"[All cars]", "26-005", "26-006", "26-007", "26-008", "26-009", "26-010", "26-011", "26-012"}, words(v.Chips[0].First),
		"those that come first in the list, by work order")
	require.Equal(t, []string{"26-001", "26-002", "26-003", "26-004"}, words(v.Chips[0].More))

	v = listOf("ready", "26-002", work)
	require.Len(t, v.Groups[0].Tiles, 120, "of one car there is more room")
	require.Equal(t, "And 9 more. Find a piece by its label.", v.Groups[0].More)
	require.Equal(t, []string{"All cars", "[26-002]", "26-005"}, words(v.Chips[0].First)[:3], "the chosen car stands with the first")
	require.Equal(t, []string{"26-001", "26-003", "26-004"}, words(v.Chips[0].More))

	v = listOf("waiting", "", work)
	require.Len(t, v.Groups, 1)
	require.Equal(t, []string{"12", ""}, []string{strconv.Itoa(len(v.Groups[0].Tiles)), v.Groups[0].More})
	v = listOf("hand", "", work)
	require.Len(t, v.Chips[0].First, 9, "a car can be chosen though none of it stands in the list")
	require.Len(t, v.Chips[0].More, 4)
	require.Equal(t, "Ready now 1548", navItems(keysOf(work), wednesday, 7)[0].Word, "the count is of all")

	v = listOf("ready", "", manyCars(1, 130))
	require.Len(t, v.Groups[0].Tiles, 120, "a single car needs no choice")
	require.Empty(t, v.Chips)
}

func TestStageChips(t *testing.T) {
	t.Parallel()
	work := manyCars(2, 4) // the first of each car is held
	stages := []restoration.Stage{{Key: "primed", Name: "Primed"}, {Key: "cut", Name: "Cut"}}
	for i := range work {
		at := 1 - i%2
		work[i].Stage, work[i].NextPosition = stages[at], at
	}
	for name, c := range map[string]struct {
		which, car, stage string
		chips             []string
		tiles             int
		first             string // address of the stage that comes first
	}{
		"all":                {"ready", "", "", []string{"[All stages]", "Primed 4", "Cut 2"}, 6, "/bench?stage=primed"},
		"a stage":            {"ready", "", "cut", []string{"All stages", "Primed 4", "[Cut 2]"}, 2, "/bench?stage=primed"},
		"a car":              {"ready", "26-002", "", []string{"[All stages]", "Primed 2", "Cut 1"}, 3, "/bench?car=26-002&stage=primed"},
		"both":               {"ready", "26-002", "primed", []string{"All stages", "[Primed 2]", "Cut 1"}, 2, "/bench?car=26-002&stage=primed"},
		"one stage waits":    {"waiting", "", "", nil, 2, ""},
		"a stage of nothing": {"waiting", "", "primed", []string{"All stages", "Cut 2 held"}, 0, "/bench/waiting?stage=cut"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			in := listInput{Which: c.which, Keys: keysOf(work), Car: c.car, Stage: c.stage, Person: 7, Now: wednesday, Loc: time.UTC}
			parts := in.parts()
			row := stageChips(in, parts)
			require.Equal(t, c.chips, words(row.First))
			if c.chips != nil {
				require.Equal(t, c.first, row.First[1].Href)
			}
			v := buildList(in, in.drawn(parts), work)
			drawn := 0
			for _, g := range v.Groups {
				drawn += len(g.Tiles)
			}
			require.Equal(t, c.tiles, drawn)
			require.Equal(t, c.tiles == 0, v.Empty != nil)
		})
	}
	in := listInput{Which: "hand", Keys: keysOf(work), Stage: "cut"}
	require.Empty(t, stageChips(in, in.parts()).First, "in hand is short")
	require.Equal(t, "/bench/hand?car=26-001", in.href("26-001", "cut"))
}

// Of what a person has in hand, that on which their clock runs stands first.
func TestWhatIsTimedStandsFirst(t *testing.T) {
	t.Parallel()
	work := manyCars(1, 3)
	for i := range work {
		work[i].HandBy, work[i].HandSince = 7, wednesday.Add(time.Duration(i)*time.Minute)
	}
	in := listInput{Which: "hand", Keys: keysOf(work), Person: 7, Now: wednesday, Loc: time.UTC}
	first := func() restoration.ID { return in.parts()[0].Items[0].PieceID }
	require.Equal(t, work[0].Piece.ID, first(), "else what was begun first")
	in.Timed = work[2].Piece.ID
	require.Equal(t, work[2].Piece.ID, first())
	require.Len(t, in.parts()[0].Items, 3)
}

// A piece that was finished while the page was made is left out.
func TestAListOutlivesAFinishedPiece(t *testing.T) {
	t.Parallel()
	work := manyCars(1, 3)
	in := listInput{Which: "ready", Keys: keysOf(work), Person: 7, Now: wednesday, Loc: time.UTC}
	drawn := in.drawn(in.parts())
	require.Equal(t, [][]string{{"Moulding 2"}}, names(buildList(in, drawn, work[2:])))
	require.NotNil(t, buildList(in, drawn, nil).Empty)
}

func TestTileSaysWhatAndWhy(t *testing.T) {
	t.Parallel()
	v := listOf("ready", "", listWork())
	require.Equal(t, "What next", v.Groups[1].Title)
	require.Equal(t, "in hand since 09:00", v.Groups[0].Tiles[0].Why)
	got := v.Groups[1].Tiles[0]
	require.Equal(t, []string{"Late window", "26-014 · 1936 Brennick Eight", "Rack 1", "1.5 h", "Grained", "grounded", "next coat within 3 h"},
		[]string{got.Name, got.Car, got.Place, got.Hours, got.NextWord, got.NowWord, got.Why})
	require.True(t, got.Alert)
	v = listOf("waiting", "", listWork())
	require.Equal(t, "not before 14:00, in 5 h", v.Groups[0].Tiles[0].Why)
	require.Equal(t, "held: A part is missing", v.Groups[1].Tiles[0].Why)
	require.Equal(t, []string{"Waiting 1", "On hold 1"}, []string{v.Groups[0].Title, v.Groups[1].Title}, "as the tab says")
}

func TestEmptyListsSayWhatToDo(t *testing.T) {
	t.Parallel()
	for which, says := range map[string]string{
		"ready": "Ask the owner to take in the next car.", "waiting": "Nothing hardens and nothing is on hold.", "hand": "Choose a piece and touch Start.",
	} {
		v := listOf(which, "", nil)
		require.Equal(t, says, v.Empty.Next)
		require.Empty(t, v.Chips)
	}
	waiting := listWork()[2:3]
	v := listOf("ready", "", waiting)
	require.Equal(t, "/bench/waiting", v.Empty.Href)
}

func TestNavCounts(t *testing.T) {
	t.Parallel()
	var words []string
	for _, item := range navItems(keysOf(listWork()), wednesday, 7) {
		words = append(words, item.Word)
	}
	require.Equal(t, []string{"Ready now 2", "Waiting 1, 1 held", "In hand 1", "Together"}, words)
	require.Equal(t, "Ready now", navItems(nil, wednesday, 7)[0].Word)
}

func TestListsAreChosenByStage(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	s.advance("Ash tray", s.ada, 1)
	require.Contains(t, b.get("/bench").body, "Stripped 4")
	primed := b.get("/bench?stage=primed").body
	require.Contains(t, primed, "Ash tray")
	require.NotContains(t, primed, "Glove-box door")
	require.Contains(t, primed, `href="/bench/waiting?stage=primed"`, "the other lists keep the choice")
	path := piecePath(s.pieces["Ash tray"].ID)
	require.Regexp(t, `href="/bench\?stage=primed"[^>]*>.{0,60}Ready now`, b.get(path).body, "the way back is the list it was opened from")
	require.Contains(t, b.get("/bench?stage=fitted").body, "Nothing here at that stage.")
	require.Contains(t, b.get("/bench/hand?stage=primed").body, "Nothing is in hand.")
}
