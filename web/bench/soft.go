package bench

import (
	"scumble/internal/restoration"
	"scumble/web/ui"
)

// softUntil is the hour until which the last coat is too soft for a pass of a grade, as
// the rules judge it; "" it is hard.
func (in pieceInput) softUntil(grade string) string {
	if in.Film == nil {
		return ""
	}
	if from := restoration.HardFrom(in.Piece, in.Route, in.Film.Scene.Deeds, in.Now, grade); from.After(in.Now) {
		return ui.Clock(from, in.Now, in.Loc)
	}
	return ""
}

// softestPass is the pass at a stage that may come earliest: a paper, but at fitting the
// clear is polished only.
func softestPass(look restoration.Look) string {
	if look == restoration.LookFitted {
		return "polish"
	}
	return clearGrades[0]
}

// fillSoft says on top of the passes until when the last coat hardens, and asks for the
// reason of a pass before that.
func (in pieceInput) fillSoft(v *cutView, step restoration.Step) {
	v.Why.Picks = earlyReasons
	sand, polish := in.softUntil(clearGrades[0]), in.softUntil("polish")
	switch {
	case sand != "" && polish == sand:
		v.Soft = "The last coat still hardens: nothing may go before " + sand + "."
	case sand != "":
		v.Soft = "The last coat still hardens: nothing may go before " + sand + ", no polish before " + polish + "."
	case polish != "":
		v.Soft = "The last coat still hardens: no compound or polish before " + polish + "."
	}
	v.Why.Shown = sand != ""
	for _, grade := range []string{clearGrades[0], "polish"} {
		facts := in.judge(restoration.Event{Kind: restoration.KindCutPass, StepID: step.ID,
			Payload: restoration.Payload{Cut: &restoration.CutPass{Grade: grade}}})
		v.asked = append(v.asked, facts.Needs...)
	}
}
