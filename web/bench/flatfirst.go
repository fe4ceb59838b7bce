package bench

import (
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// flatFirst says what the clear needs before its next coat by the rule for batches: to
// cure, to be flatted, or to wait for the next session; "" nothing.
func (in pieceInput) flatFirst(m *restoration.Material) string {
	next, ok := in.nextCoat(m)
	switch {
	case !ok:
	case next.First == restoration.FirstCure, next.Full, next.Smooth:
		return upperFirst(next.FirstWords(in.Now, func(at time.Time) string { return ui.Clock(at, in.Now, in.Loc) }))
	case next.First == restoration.FirstNothing && next.Waits && next.From.After(in.Now):
		return "This session is full: next coat from " + ui.Clock(next.From, in.Now, in.Loc)
	}
	return ""
}

// firstOfAll is the same for the bar of a piece, and whether sanding is what comes next.
// A piece that has all its coats is asked for nothing.
func (in pieceInput) firstOfAll(step restoration.Step, stage restoration.Stage, enough bool) (says string, sand bool) {
	m := in.chooseMaterial(step, stage)
	if says = in.flatFirst(m); enough || says == "" {
		return "", false
	}
	next, _ := in.nextCoat(m)
	return says, next.First == restoration.FirstFlat
}
