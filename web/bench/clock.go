package bench

import (
	"net/http"
	"time"
)

// sentHeader says the tablet's own hour as it sends, RFC 3339.
const sentHeader = "Scumble-Sent"

// clockSlack is how far a tablet's clock may be off before it is put right: what the
// network takes is not to be taken for it.
const clockSlack = 30 * time.Second

// rightHour gives the shop's hour for one that a tablet's clock showed, when the same
// clock showed sent at the moment that was now in the shop. Without sent there is nothing
// to compare, and the tablet's word stands.
func rightHour(clock, sent, now time.Time) time.Time {
	if sent.IsZero() {
		return clock
	}
	off := now.Sub(sent)
	if off.Abs() <= clockSlack {
		return clock
	}
	return clock.Add(off)
}

// sentAt is the tablet's hour of sending; zero where it says none that can be read.
func sentAt(r *http.Request) time.Time {
	t, err := time.Parse(time.RFC3339, r.Header.Get(sentHeader))
	if err != nil {
		return time.Time{}
	}
	return t
}

// setRight dates an entry by the shop's hour when it carries the hour of its tablet's clock.
func (in *Incoming) setRight(sent, now time.Time) {
	if !in.Clock.IsZero() {
		in.At = rightHour(in.Clock, sent, now)
	}
}
