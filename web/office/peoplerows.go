package office

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// peopleProps is the page of all people.
type peopleProps struct {
	Page   ui.PageProps
	People []personRow
	Form   *form
}

// personProps is the page of one person.
type personProps struct {
	Page ui.PageProps
	Row  personRow
	Self bool // the person looks at their own page
	Form *form
	// Needed says why the person can neither leave nor step back; "" when they can.
	Needed string
	// BackUntil is the day until which who has left can be taken back; "" when not.
	BackUntil string
}

// personRow is a person as the pages show them.
type personRow struct {
	restoration.Person
	Href     string
	RoleWord string
	Signs    string // with what they sign in
	State    string // "at work", "locked since …", "left …"
	Locked   bool
	Left     bool
	Now      time.Time
	Loc      *time.Location
}

// personRows puts who is locked first, because somebody waits there, and who has
// left last.
func personRows(all []restoration.Person, v visit) []personRow {
	rows := make([]personRow, len(all))
	for i, p := range all {
		rows[i] = newPersonRow(p, v)
	}
	rank := func(r personRow) int {
		switch {
		case r.Locked:
			return 0
		case r.Left:
			return 2
		}
		return 1
	}
	slices.SortStableFunc(rows, func(a, b personRow) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)))
	})
	return rows
}

func newPersonRow(p restoration.Person, v visit) personRow {
	row := personRow{
		Person: p, Href: personPath(p.ID), RoleWord: roleWord(p.Role), Signs: signsWith(p), Now: v.Now, Loc: v.Loc,
		Left: !p.LeftAt.IsZero(), Locked: p.LeftAt.IsZero() && !p.LockedAt.IsZero(), State: "at work",
	}
	switch {
	case row.Left:
		row.State = "left on " + ui.Day(p.LeftAt, v.Loc)
	case row.Locked:
		row.State = fmt.Sprintf("locked since %s after %d wrong tries", ui.When(p.LockedAt, v.Loc), p.Misses)
	case p.Misses > 0:
		row.State = ui.Count(p.Misses, "wrong try", "wrong tries") + " since the last sign-in"
	}
	return row
}

func roleWord(r restoration.Role) string {
	if r == restoration.RoleOwner {
		return "Owner"
	}
	return "Technician"
}

func signsWith(p restoration.Person) string {
	switch {
	case p.HasPIN && p.HasPassword:
		return "PIN and password"
	case p.HasPIN:
		return "PIN"
	case p.HasPassword:
		return "password"
	}
	return "nothing yet"
}
