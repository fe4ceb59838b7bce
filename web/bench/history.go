package bench

import (
	"cmp"
	"strconv"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// historyLine is one step of a piece, in one pass.
type historyLine struct {
	Stage, State, Who, When, Hours string
	Look                           restoration.Look
	UntickID, StepID               string // "" when the rules don't allow it
}

// ledgerLine is one entry of the ledger about the piece.
type ledgerLine struct{ Who, When, Words string }

// history lists the steps, the newest pass of each stage last.
func history(in pieceInput) []historyLine {
	var lines []historyLine
	for _, s := range in.Piece.Steps {
		stage, _ := in.Route.Stage(s.Stage)
		line := historyLine{Stage: cmp.Or(stage.Name, s.Stage), State: string(s.State), Who: s.DoneName, Look: stage.Look}
		if s.State == restoration.StepInHand {
			line.Who = s.HandName
		}
		if s.Pass > 1 {
			line.Stage += ", pass " + strconv.Itoa(s.Pass)
		}
		if !s.DoneAt.IsZero() {
			line.When = ui.When(s.DoneAt, in.Loc)
		}
		if s.Logged > 0 {
			line.Hours = ui.Hours(int(s.Logged))
		}
		if s.Settled() && try(in, restoration.Event{Kind: restoration.KindUntick, StepID: s.ID}).Result == restoration.Applied {
			line.UntickID, line.StepID = in.NewID(), s.ID.String()
		}
		lines = append(lines, line)
	}
	return lines
}

func ledger(in pieceInput) []ledgerLine {
	var lines []ledgerLine
	for _, e := range in.Ledger {
		lines = append(lines, ledgerLine{Who: e.Person, When: ui.When(e.Event.At, in.Loc), Words: restoration.Words(e, in.Units)})
	}
	return lines
}

// sentBackFor is the defect that the newest send-back named.
func sentBackFor(ledger []restoration.Entry) string {
	for _, e := range ledger {
		if e.Event.Kind == restoration.KindSendBack && e.Outcome.Result == restoration.Applied {
			if d, ok := restoration.FindDefect(e.Event.Defect); ok {
				return d.Name
			}
			return e.Event.Defect
		}
	}
	return ""
}
