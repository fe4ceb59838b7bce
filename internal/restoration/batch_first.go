package restoration

import (
	"fmt"
	"strings"
	"time"
)

// First is what must be done to a piece before it may be sprayed, in words.
type First string

// A shut recoat window asks for a keyed surface; bare steel has no coat to flat, and is
// cleaned of its rust (common practice, no source).
const (
	FirstNothing First = ""
	FirstFlat    First = "flat first"
	FirstClean   First = "clean first"
)

// shuts is when the next coat comes too late: by the last coat of the step, or before
// the first of them by the step under it. Zero: never, as after sanding since that coat.
func (k *SprayKey) shuts() time.Time {
	switch {
	case k.CoatedAt.IsZero():
		return k.LateFrom
	case k.MaxRecoat == 0 || !k.SandedAt.Before(k.CoatedAt):
		return time.Time{}
	}
	return k.CoatedAt.Add(k.MaxRecoat.Duration())
}

// first is what the piece needs before a coat now: what the coat would be held up by
// when it is entered, said before it is sprayed.
func (k *SprayKey) first(now time.Time) First {
	shut := k.shuts()
	switch {
	case shut.IsZero() || !now.After(shut) || !k.SandedAt.Before(shut):
		return FirstNothing
	case k.CoatedAt.IsZero() && k.Look.Bare():
		return FirstClean
	}
	return FirstFlat
}

// FirstWords says how many pieces need work before they may be sprayed: "2 to flat
// first, 1 to clean first"; "" none does.
func (b Batch) FirstWords() string {
	counts := map[First]int{}
	for _, p := range b.Pieces {
		counts[p.First]++
	}
	var words []string
	for _, f := range []First{FirstFlat, FirstClean} {
		if n := counts[f]; n > 0 {
			words = append(words, fmt.Sprintf("%d to %s", n, f))
		}
	}
	return strings.Join(words, ", ")
}

// Sprayable counts the pieces that may be sprayed now or from [Batch.From] on.
func (b Batch) Sprayable() int { return len(b.Pieces) - b.Shut }
