package restoration

import (
	"fmt"
	"strings"
	"time"

	"scumble/internal/coating"
)

// First is what must be done to a piece before it may be sprayed, in words.
type First string

// A shut recoat window asks for a keyed surface; bare steel has no coat to flat, and is
// cleaned of its rust (common practice, no source).
const (
	FirstNothing First = ""
	FirstFlat    First = "flat first"
	FirstClean   First = "clean first"
	FirstCure    First = "cure, then flat"
)

// shuts is when the next coat comes too late: by the last coat of the step, or before
// the first of them by the step under it. Zero: never, as after sanding since that coat.
func (p *BatchPiece) shuts() time.Time {
	switch {
	case p.CoatedAt.IsZero():
		return p.LateFrom
	case p.MaxRecoat == 0 || !p.keyed.Before(p.CoatedAt):
		return time.Time{}
	}
	return p.CoatedAt.Add(p.MaxRecoat.Duration())
}

// keyedAt is when the surface was last roughened so that clear holds on it: what was cut
// finer since, or polished, is smooth again. Zero: it is smooth, or was never sanded.
func (g *grouping) keyedAt(k *SprayKey) time.Time {
	if k.SandedAt.IsZero() {
		return time.Time{}
	}
	keys, known := g.keys[k.Grade]
	if !known {
		keys = coating.Keys(k.Grade)
		g.keys[k.Grade] = keys
	}
	if !keys {
		return time.Time{}
	}
	return k.SandedAt
}

// unkeyed tells whether clear that the piece kept lies there smooth, with no coat on it yet.
func (p *BatchPiece) unkeyed() bool {
	return p.CoatedAt.IsZero() && p.KeptUM > 0 && (p.keyed.IsZero() || p.keyed.Before(p.KeptAt))
}

// first is what the piece needs before its next coat, now or when it may be sprayed at
// all: what the coat would be held up by when it is entered, said before it is sprayed.
func (p *BatchPiece) first(now time.Time) First {
	shut := p.Shuts
	switch {
	case shut.IsZero() || !latest(now, p.From).After(shut) || !p.keyed.Before(shut):
		return FirstNothing
	case p.CoatedAt.IsZero() && p.Look.Bare():
		return FirstClean
	}
	return FirstFlat
}

// FirstWords say what the piece needs first and why; clock writes an instant. "" nothing.
func (p *BatchPiece) FirstWords(now time.Time, clock func(time.Time) string) string {
	switch {
	case p.First == FirstNothing:
		return ""
	case p.First == FirstCure:
		return "cures until " + clock(p.From) + ", then flat"
	case p.Full:
		return "session is full and cured: " + string(p.First)
	case p.Smooth:
		return "clear is on and smooth: " + string(p.First)
	case p.Shuts.After(now):
		return "window shuts " + clock(p.Shuts) + ", before it may be sprayed: " + string(p.First)
	}
	return "recoat window shut: " + string(p.First)
}

// FirstWords says how many pieces need work before they may be sprayed: "2 to flat
// first, 1 to clean first"; "" none does.
func (b Batch) FirstWords() string {
	counts := map[First]int{}
	for _, p := range b.Pieces {
		counts[p.First]++
	}
	var words []string
	for _, f := range []First{FirstFlat, FirstClean, FirstCure} {
		if n := counts[f]; n > 0 {
			words = append(words, fmt.Sprintf("%d to %s", n, f))
		}
	}
	return strings.Join(words, ", ")
}

// Sprayable counts the pieces that may be sprayed now or from [Batch.From] on.
func (b Batch) Sprayable() int { return len(b.Pieces) - b.Shut }
