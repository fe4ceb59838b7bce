package restoration

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestCarReasonWanted(t *testing.T) {
	t.Parallel()
	at := time.Date(2026, 3, 27, 14, 30, 0, 0, time.UTC)
	open := []Piece{{Sum: Sum{NextStep: ID{1}}}}
	for name, c := range map[string]struct {
		state  CarState
		pieces []Piece
		kind   Kind
		reason string
		says   string
	}{
		"a hold":                      {CarInWork, nil, KindCarHold, " ", "Say why the car is held: what it waits for."},
		"a hold that says why":        {CarInWork, nil, KindCarHold, "glass", ""},
		"a hold of what is held":      {CarOnHold, nil, KindCarHold, "", ""},
		"no reason would help":        {CarDelivered, nil, KindCarHold, "", ""},
		"pieces are open":             {CarInWork, open, KindCarDeliver, "", "1 piece is not finished. Finish them, or say why the car goes all the same."},
		"pieces are open, it says so": {CarInWork, open, KindCarDeliver, "the customer fits it", ""},
		"all is finished":             {CarInWork, []Piece{{}}, KindCarDeliver, "", ""},
		"a release":                   {CarOnHold, nil, KindCarRelease, "", ""},
	} {
		e := Event{Kind: c.kind, At: at, Arrived: at, Payload: Payload{Reason: c.reason}}
		require.Equal(t, c.says, CarReasonWanted(Car{State: c.state}, c.pieces, e), name)
	}
}
