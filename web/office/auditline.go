package office

import (
	"slices"
	"strings"
	"time"

	"scumble/internal/restoration"
)

// auditChangesShown is how many changes of one act the page lists; the table has all.
const auditChangesShown = 8

// auditLine is one act in words.
type auditLine struct {
	At       time.Time
	Now      time.Time
	Loc      *time.Location
	Who      string
	Where    string // the tablet, beside a person's name; "" at the office
	Words    string // how the sentence goes on after the name
	Subject  string // what it was done to; "" when the words say it
	Href     string // where that is now; "" nowhere
	Of       string // the work order of a piece's car
	Changes  []auditChange
	MoreThan int // how many of them the page does not list
}

// Shown is the changes that the page lists.
func (l auditLine) Shown() []auditChange { return l.Changes[:len(l.Changes)-l.MoreThan] }

func auditLines(rows []restoration.AuditRow, v auditWords) []auditLine {
	lines := make([]auditLine, len(rows))
	for i, r := range rows {
		lines[i] = newAuditLine(r, v)
	}
	return lines
}

func newAuditLine(r restoration.AuditRow, v auditWords) auditLine {
	words, bare := r.Act.Words()
	l := auditLine{At: r.At, Now: v.Now, Loc: v.Loc, Who: r.Person, Words: words, Changes: v.changes(r.Before, r.After)}
	switch {
	case r.Person != "":
		l.Where = r.Device
	case r.Device != "":
		l.Who = r.Device
	case r.Act == restoration.ActLockPerson:
		l.Who = "Scumble"
	default:
		l.Who = "A command on the shop's computer"
	}
	if !bare {
		l.Subject = r.Subject
	}
	if enrolled := r.Act == restoration.ActEnrolTablet; enrolled {
		l.Words, l.Subject = "was let in by its code", ""
	}
	// What is new has its name in the sentence already.
	l.Changes = slices.DeleteFunc(l.Changes, func(c auditChange) bool { return c.New && c.To == r.Subject })
	switch {
	case !r.PieceID.IsZero():
		l.Href, l.Of = piecePath(r.PieceID), r.WorkOrder
	case r.WorkOrder != "":
		l.Href = carPath(r.WorkOrder)
	}
	l.MoreThan = max(len(l.Changes)-auditChangesShown, 0)
	return l
}

// joinChanges puts changes into one cell.
func joinChanges(changes []auditChange) string {
	said := make([]string, len(changes))
	for i, c := range changes {
		said[i] = c.String()
	}
	return strings.Join(said, "; ")
}
