package restoration

import (
	"fmt"
	"strings"
)

// CheckNotWorked on a pause says that nothing of what the timer showed was worked.
const CheckNotWorked = "not worked"

// pause stops the clock of who enters it; hours that it names are logged. Nothing else
// of the step changes: it stays in hand. A pause is never out of place, since the start
// that it ends may arrive later.
func (p *Piece) pause(i int, e Event) Outcome {
	p.Steps[i].log(e)
	return applied()
}

// correctTime puts other hours in the place of those that an entry logged. Was is what
// the entry counts for until now; whoever keeps the ledger fills it in.
func (p *Piece) correctTime(i int, e Event) Outcome {
	s := &p.Steps[i]
	switch {
	case strings.TrimSpace(e.Reason) == "":
		return refused("Say why the hours are corrected.")
	case e.Was == nil:
		return refused("The step has no such entry of hours. Look at the time sheet again.")
	case e.Hours == nil || *e.Hours < 0:
		return refused("Say what the hours should be, from 0 to 24.")
	case *e.Hours == *e.Was:
		return already("The entry counts for " + e.Was.Decimal() + " already.")
	case s.Logged+*e.Hours-*e.Was < 0:
		return refused(fmt.Sprintf("Only %s are logged on the step, so %s can't be taken away.", s.Logged.Decimal(), (*e.Was - *e.Hours).Decimal()))
	}
	s.Logged += *e.Hours - *e.Was
	return applied()
}
