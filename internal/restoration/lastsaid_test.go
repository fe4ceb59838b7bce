package restoration

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestTheLastNoteAndTheHoldThatEnded(t *testing.T) {
	t.Parallel()
	at := func(days int) time.Time { return monday.AddDate(0, 0, days) }
	entry := func(k Kind, day int, said string) Entry {
		e := Entry{Event: Event{Kind: k, At: at(day)}, Outcome: Outcome{Result: Applied}}
		if k == KindHold {
			e.Event.Reason = said
		} else {
			e.Event.Note = said
		}
		return e
	}
	refused := entry(KindNote, 5, "of nobody")
	refused.Outcome.Result = Refused
	for name, c := range map[string]struct {
		list       []Entry // the newest first
		note, hold string
	}{
		"nothing":                    {nil, "", ""},
		"nothing that was said":      {[]Entry{entry(KindTick, 3, ""), entry(KindStart, 2, "")}, "", ""},
		"the newest":                 {[]Entry{entry(KindNote, 3, "thin at the left"), entry(KindNote, 2, "older")}, "thin at the left", ""},
		"with another entry":         {[]Entry{entry(KindTick, 4, ""), entry(KindSendBack, 3, "by the hinge")}, "by the hinge", ""},
		"what was refused is none":   {[]Entry{refused, entry(KindNote, 2, "older")}, "older", ""},
		"released":                   {[]Entry{entry(KindTick, 4, ""), entry(KindRelease, 3, ""), entry(KindHold, 1, "no hinge")}, "", "no hinge"},
		"the hold that it ended":     {[]Entry{entry(KindRelease, 3, ""), entry(KindHold, 2, "no hinge"), entry(KindRelease, 2, ""), entry(KindHold, 1, "no clips")}, "", "no hinge"},
		"on hold":                    {[]Entry{entry(KindHold, 4, "no hinge"), entry(KindRelease, 3, ""), entry(KindHold, 2, "no clips")}, "", ""},
		"a week and a second ago":    {[]Entry{entry(KindRelease, 0, ""), entry(KindHold, -1, "no hinge")}, "", ""},
		"the hold is not among them": {[]Entry{entry(KindRelease, 3, "")}, "", ""},
	} {
		note, noted := LastNote(c.list)
		require.Equal(t, c.note, note.Event.Note, name)
		require.Equal(t, c.note != "", noted, name)
		hold, release, ok := LastHold(c.list, at(7).Add(time.Second))
		require.Equal(t, c.hold != "", ok, name)
		if ok {
			require.Equal(t, c.hold, hold.Event.Reason, name)
			require.Equal(t, at(3), release.Event.At, name)
		}
	}
}
