package bench

import (
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// softness is until when the last coat is too soft, as the rules judge it.
func (in pieceInput) softness() restoration.Softness {
	if in.Film == nil {
		return restoration.Softness{}
	}
	return restoration.SoftnessOf(in.Piece, in.Route, in.Film.Scene.Deeds, in.Now)
}

// fillSoft says on top of the passes until when the last coat hardens, and asks for the
// reason of a pass before that.
func (in pieceInput) fillSoft(v *cutView, step restoration.Step) {
	v.Why.Picks = earlyReasons
	soft := in.softness()
	v.Soft = soft.Words(func(at time.Time) string { return ui.Clock(at, in.Now, in.Loc) })
	v.Why.Shown = !soft.Sand.IsZero()
	for _, grade := range []string{clearGrades[0], "polish"} {
		facts := in.judge(restoration.Event{Kind: restoration.KindCutPass, StepID: step.ID,
			Payload: restoration.Payload{Cut: &restoration.CutPass{Grade: grade}}})
		v.asked = append(v.asked, facts.Needs...)
	}
}
