package restoration

import "time"

// ReleasedLately is how long the reason of a hold is still told once the piece is
// released; common practice, no source.
const ReleasedLately = 7 * 24 * time.Hour

// LastNote finds the newest note on a piece among entries of it, newest first; also one that
// came with another entry. False: none holds one.
func LastNote(list []Entry) (Entry, bool) {
	for _, e := range list {
		if e.Event.Note != "" && e.Outcome.Result == Applied {
			return e, true
		}
	}
	return Entry{}, false
}

// LastHold finds the hold that the newest release of a piece ended, among entries of it,
// newest first. False: it was released longer than [ReleasedLately] ago, is on hold again, or the
// hold isn't among them.
func LastHold(list []Entry, now time.Time) (hold, release Entry, ok bool) {
	for _, e := range list {
		switch {
		case e.Outcome.Result != Applied:
		case e.Event.Kind == KindRelease && !ok:
			if release, ok = e, true; now.Sub(e.Event.At) > ReleasedLately {
				return hold, release, false
			}
		case e.Event.Kind == KindHold:
			return e, release, ok
		}
	}
	return hold, release, false
}
