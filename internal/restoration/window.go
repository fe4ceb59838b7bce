package restoration

import "time"

// Bare tells whether no coat is on yet.
func (l Look) Bare() bool { return l == LookBare || l == LookStripped || l == LookRepaired }

// WindowWords says in a few words that a piece must get its next coat before its window
// shuts, or that it is too late by now; "" where it has none. Bare steel has no coat that
// could be scuffed: it rusts, and is cleaned again. What was sent back lay under other coats
// meanwhile and was sanded down to where it stands (both common practice, no source). The
// span is rounded down, so that nobody comes too late.
func (s Sum) WindowWords(now time.Time) string {
	late := s.LateFrom
	shut := late.Before(now)
	switch {
	case late.IsZero():
		return ""
	case shut && s.SentBack:
		return "sent back: scuff and clean first"
	case shut && s.Look.Bare():
		return "bare too long: clean first"
	case shut:
		return "too late for the next coat: scuff first"
	case s.Look.Bare():
		return "prime within " + span(late.Sub(now))
	}
	return "next coat within " + span(late.Sub(now))
}

// How far ahead recoat windows that shut are looked at, and which of them are near.
const (
	WindowAhead = 7 * 24 * time.Hour
	windowSoon  = 24 * time.Hour
)

// WindowMatters tells whether the recoat window of a piece deserves a word at now: it has
// shut, shuts within a day, or shuts within the week while nobody is there. A piece that is
// held is looked after already.
func (c Calendar) WindowMatters(p Piece, now time.Time, loc *time.Location) bool {
	at := p.Sum.LateFrom
	switch {
	case at.IsZero() || p.Holding != nil:
		return false
	case at.Sub(now) <= windowSoon:
		return true
	case at.Sub(now) > WindowAhead:
		return false
	}
	return !c.NextOpen(at, loc).Equal(at)
}
