package restoration

import (
	"crypto/rand"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestPlaceCheck(t *testing.T) {
	t.Parallel()
	good := Place{Name: "Rack A", Kind: PlaceRack, Holds: 12}
	require.Empty(t, good.Check())
	for field, change := range map[string]func(*Place){
		"name":  func(p *Place) { p.Name = " " },
		"kind":  func(p *Place) { p.Kind = "cellar" },
		"holds": func(p *Place) { p.Holds = -1 },
	} {
		p := good
		change(&p)
		found := p.Check()
		require.Len(t, found, 1, field)
		require.Equal(t, field, found[0].Field)
	}
	good.Holds = MaxHolds + 1
	require.Equal(t, "holds", good.Check()[0].Field)
}

func TestAFullPlaceIsWarnedOf(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		holds, lying int
		warns        string
	}{
		{0, 500, ""}, {4, 3, ""}, {4, 4, "Rack A is full: 5 of 4 with this one."},
		{4, 6, "Rack A is full: 7 of 4 with this one."}, {1, 0, ""}, {1, 1, "Rack A is full: 2 of 1 with this one."},
	} {
		facts := MoveFacts(Place{Name: "Rack A", Holds: c.holds}, c.lying)
		if c.warns == "" {
			require.Nil(t, facts, "%+v", c)
			continue
		}
		require.Equal(t, &Facts{Warnings: []string{c.warns}}, facts)
		move := Event{Kind: KindMove, Payload: Payload{Place: "Rack A", Facts: facts}}
		after, out := Apply(CarInWork, Piece{}, Route{}, move)
		require.Equal(t, Applied, out.Result, "a full place refuses nothing")
		require.Equal(t, "Rack A", after.LiesAt)
		require.Contains(t, Words(Entry{Event: move, Outcome: out}, Metric), "warned: "+strings.TrimSuffix(c.warns, "."))
	}
}

// A piece that is put where it lies is not moved again, and replay says so too.
func TestAMoveToWhereThePieceLiesMovesNothing(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		at, to string
		want   Result
	}{
		"where it lies":      {"Rack A", "Rack A", Already},
		"elsewhere":          {"Rack A", "Rack B", Applied},
		"the name rewritten": {"rack a", "Rack A", Applied},
		"to nowhere known":   {"Rack A", "", Applied},
		"from nowhere":       {"", "", Applied},
	} {
		p := Piece{LiesAt: c.at}
		e := Event{Kind: KindMove, Payload: Payload{Place: c.to, Facts: p.LiesThere(c.to)}}
		after, out := Apply(CarInWork, p, Route{}, e)
		require.Equal(t, c.want, out.Result, name)
		require.Equal(t, c.to, after.LiesAt, name)
	}
	_, out := Apply(CarInWork, Piece{LiesAt: "Rack A"}, Route{}, Event{Kind: KindMove, Payload: Payload{Place: "Rack A"}})
	require.Equal(t, Applied, out.Result, "an entry of before stays as it was answered")
}

func TestFullness(t *testing.T) {
	t.Parallel()
	for want, c := range map[string][2]int{"5 of 8": {8, 5}, "8 of 8, full": {8, 8}, "33 of 31, full": {31, 33}, "0 of 1": {1, 0},
		"0 pieces": {0, 0}, "1 piece": {0, 1}, "3 pieces": {0, 3}} {
		require.Equal(t, want, Place{Holds: c[0]}.Fullness(c[1]))
	}
}

// The code of a place is never one of a piece, and a slip is found.
func TestPlaceCodes(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		code, err := NewPlaceCode(rand.Reader)
		require.NoError(t, err)
		require.True(t, IsPlaceCode(code), code)
		_, err = CheckLabel(code)
		require.Error(t, err, "it is no piece's")
		back, err := CheckAnyCode(strings.ToLower(code[:3] + "-" + code[3:]))
		require.NoError(t, err)
		require.Equal(t, code, back)

		i := rapid.IntRange(0, PlaceCodeLength-1).Draw(t, "place")
		sign := rapid.SampledFrom(LabelSigns()).Filter(func(s string) bool { return s != code[i:i+1] }).Draw(t, "sign")
		_, err = CheckAnyCode(code[:i] + sign + code[i+1:])
		require.Error(t, err, "one sign wrong at %d", i)

		piece, err := NewLabel(rand.Reader)
		require.NoError(t, err)
		require.False(t, IsPlaceCode(piece))
		back, err = CheckAnyCode(piece)
		require.NoError(t, err)
		require.Equal(t, piece, back)
	})
}

func FuzzCheckAnyCode(f *testing.F) {
	for _, s := range []string{"", "P", "PPPPPP", "p3468-9", "A3C4E", "Pé3468", "\x00P3468"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		code, err := CheckAnyCode(typed)
		if err != nil {
			require.Empty(t, code)
			return
		}
		require.Contains(t, []int{LabelLength, PlaceCodeLength}, len(code))
		again, err := CheckAnyCode(code)
		require.NoError(t, err)
		require.Equal(t, code, again)
	})
}

func TestPlacesAreChosen(t *testing.T) {
	t.Parallel()
	place := func(id int64, name string, moves int) PlaceUse {
		return PlaceUse{Place: Place{ID: id, Name: name, Kind: PlaceRack, Holds: 2}, Moves: moves}
	}
	gone := place(6, "Attic", 99)
	gone.RetiredAt = time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	full := place(2, "Rack B", 9)
	full.Lying = 2
	uses := []PlaceUse{place(1, "Rack A", 9), full, place(3, "Rack C", 1), place(4, "Jig", 0), place(5, "Rail", 40), gone, place(7, "Here", 50)}
	fits := []PlaceFit{
		{PlaceID: 4, Piece: "ASH TRAY", Body: "saloon", Well: true},
		{PlaceID: 5, Piece: "Ash tray", Body: "Saloon"},
		{PlaceID: 3, Piece: "Ash tray", Body: "coupé", Well: true}, // of another body
		{PlaceID: 1, Piece: "Door capping", Body: "saloon"},        // another kind
	}
	var names []string
	for _, c := range ChoosePlaces(uses, fits, "Ash tray", "saloon", "here") {
		says := c.Name
		if c.Fit != nil {
			says += ", " + c.Fit.Words()
		}
		if c.Full(c.Lying) {
			says += ", full"
		}
		names = append(names, says)
	}
	require.Equal(t, []string{"Jig, holds it well", "Rack A", "Rack B, full", "Rack C", "Rail, holds it badly"}, names)
}

// Nothing is lost and nothing doubled: what is offered is what is in use, but for where
// the piece lies.
func TestEveryPlaceInUseIsOffered(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var uses []PlaceUse
		var fits []PlaceFit
		for i := range rapid.IntRange(0, 12).Draw(t, "places") {
			uses = append(uses, PlaceUse{Place: Place{ID: int64(i + 1), Name: string(rune('a' + i))}, Moves: rapid.IntRange(0, 3).Draw(t, "moves")})
			if rapid.Bool().Draw(t, "said") {
				fits = append(fits, PlaceFit{PlaceID: int64(i + 1), Piece: "x", Well: rapid.Bool().Draw(t, "well")})
			}
		}
		list := ChoosePlaces(uses, fits, "X", "", "")
		require.Len(t, list, len(uses))
		for i := 1; i < len(list); i++ {
			require.LessOrEqual(t, list[i-1].rank(), list[i].rank())
			if list[i-1].rank() == list[i].rank() {
				require.GreaterOrEqual(t, list[i-1].Moves, list[i].Moves)
			}
		}
	})
}

func TestNotSeen(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 27, 12, 0, 0, 0, time.UTC)
	seen := func(label string, days int, done bool) Lying {
		return Lying{Label: label, Seen: now.AddDate(0, 0, -days), Done: done}
	}
	list := []Lying{seen("A", 29, false), seen("B", 31, false), seen("C", 90, false), seen("D", 90, true), seen("E", 30, false)}
	labels := func(days int) (names []string) {
		for _, l := range NotSeen(list, now, days) {
			names = append(names, l.Label)
		}
		return names
	}
	require.Equal(t, []string{"C", "B"}, labels(30), "thirty days to the minute are not over")
	require.Equal(t, []string{"C"}, labels(60))
	require.Empty(t, labels(365))
}
