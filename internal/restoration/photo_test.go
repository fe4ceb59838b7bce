package restoration

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var aPicture = strings.Repeat("0123456789abcdef", 4)

func TestAPhotoNeedsItsPicture(t *testing.T) {
	t.Parallel()
	s, now := shopAt(t, "primed")
	for name, tt := range map[string]struct {
		payload Payload
		step    ID
		want    string // in the reason; "" is applied
	}{
		"nothing":         {Payload{}, ID{}, "has no picture"},
		"half an id":      {Payload{Photo: aPicture[:63]}, ID{}, "has no picture"},
		"capitals":        {Payload{Photo: strings.ToUpper(aPicture)}, ID{}, "has no picture"},
		"another's step":  {Payload{Photo: aPicture}, testID('x', 1), "no such step"},
		"another's stage": {Payload{Photo: aPicture, Stage: "plated"}, ID{}, "no such stage"},
		"a long note":     {Payload{Photo: aPicture, Note: strings.Repeat("ä", MaxNote+1)}, ID{}, "longer than"},
		"of the piece":    {Payload{Photo: aPicture}, ID{}, ""},
		"of a stage":      {Payload{Photo: aPicture, Stage: "grained", Note: "run at the edge"}, ID{}, ""},
		"of a step":       {Payload{Photo: aPicture}, s.step(1, "blocked").ID, ""},
	} {
		e := s.event(KindPhoto, 1, "", now, tt.payload)
		e.StepID = tt.step
		before := s.piece(1)
		out := s.Enter(e)
		require.Equal(t, tt.want == "", out.Result == Applied, "%s: %s", name, out.Reason)
		require.Contains(t, out.Reason, tt.want, name)
		require.Equal(t, before, s.piece(1), name)
	}
	s.do(KindRemove, 1, "", now, Payload{})
	require.Contains(t, s.do(KindPhoto, 1, "", now, Payload{Photo: aPicture}).Reason, "taken off the car's list")
}

func TestWhatAPhotoShows(t *testing.T) {
	t.Parallel()
	s := newShop(Details{Name: "door capping"})
	of := func(step ID, stage string) PiecePhoto {
		e := s.event(KindPhoto, 1, "", monday, Payload{Photo: aPicture, Stage: stage, Note: " a dent "})
		e.StepID = step
		require.Equal(t, Applied, s.Enter(e).Result)
		ph, ok := PhotoOf(s.piece(1), e)
		require.True(t, ok)
		return ph
	}
	ph := of(ID{}, "")
	require.Equal(t, "", ph.Stage, "as it came")
	require.Equal(t, "a dent", ph.Note)
	require.Equal(t, 1, ph.Pass)
	s.tick(1, "stripped", monday, 1)
	require.Equal(t, "stripped", of(ID{}, "").Stage, "what the piece has reached")
	require.Equal(t, "primed", of(s.step(1, "primed").ID, "").Stage, "the step that it was taken at")
	require.Equal(t, "grained", of(s.step(1, "primed").ID, "grained").Stage, "what was said")

	s.tick(1, "primed", monday.Add(20*time.Hour), 1)
	for hours, stage := range map[time.Duration]string{-1: "", 0: "stripped", 19: "stripped", 20: "primed", 30: "primed"} {
		e := s.event(KindPhoto, 1, "", monday.Add(hours*time.Hour), Payload{Photo: aPicture})
		e.Arrived = monday.Add(40 * time.Hour)
		ph, _ = PhotoOf(s.piece(1), e)
		require.Equal(t, stage, ph.Stage, "what it had reached %d hours after the first tick", hours)
	}

	early := s.event(KindPhoto, 1, "", monday.Add(2*time.Minute), Payload{Photo: aPicture})
	early.Arrived = monday
	ph, _ = PhotoOf(s.piece(1), early)
	require.Equal(t, monday, ph.At, "a tablet's clock runs ahead")
	_, ok := PhotoOf(s.piece(1), s.event(KindNote, 1, "", monday, Payload{Note: "x"}))
	require.False(t, ok)
}

// A photo changes nothing of any piece, whatever had happened to it.
func TestLawAPhotoChangesNoStep(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		s := newShop(Details{Name: "door capping"})
		now := monday
		for _, stage := range s.route.Stages[:rapid.IntRange(0, len(s.route.Stages)).Draw(rt, "stages")] {
			s.tick(1, stage.Key, now, 1)
			now = now.Add(30 * day)
		}
		if rapid.Bool().Draw(rt, "back") {
			s.do(KindSendBack, 1, "stripped", now, Payload{Defect: DefectOther, Reason: "dull", Note: "dull"})
		}
		before, sum := s.piece(1), s.Car
		out := s.do(KindPhoto, 1, "", now, Payload{Photo: aPicture, Stage: rapid.SampledFrom([]string{"", "grained", "none"}).Draw(rt, "stage")})
		require.NotEqual(rt, Already, out.Result)
		require.Equal(rt, before, s.piece(1))
		require.Equal(rt, sum, s.Car)
	})
}

func TestWordsOfAPhoto(t *testing.T) {
	t.Parallel()
	e := Entry{Event: Event{Kind: KindPhoto, Payload: Payload{Photo: aPicture, Stage: "grained", Note: "run"}}, Outcome: applied()}
	require.Equal(t, "Photo, grained; “run”", Words(e, Metric))
	e.Event.Stage = ""
	require.Equal(t, "Photo; “run”", Words(e, Metric))
}
