package office

import (
	"slices"
	"strconv"
	"strings"

	"github.com/google/uuid"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// newID makes the identity of an entry. It is made when the form is drawn, so that
// a form sent twice is one entry.
func newID() restoration.ID { return restoration.ID(uuid.Must(uuid.NewV7())) }

// id reads the identity of an entry or a piece.
func (f *form) id(name string) restoration.ID {
	id, err := restoration.ParseID(f.get(name))
	if err != nil {
		f.fault(name, "The form is damaged. Load the page again.")
	}
	return id
}

// labour is hours for the ledger; nil when the field is empty or wrong.
func (f *form) labour(name string) *restoration.Minutes {
	if strings.TrimSpace(f.get(name)) == "" {
		return nil
	}
	if m := f.hours(name); f.error(name) == "" {
		return &m
	}
	return nil
}

// area reads an area in a unit, in m²; 0 when the field is empty. One that stands as it was
// shown keeps what was kept, however it had been rounded.
func (f *form) area(name string, u unit, before float64) float64 {
	if f.get(name) == u.typedStated(before) {
		return before
	}
	return u.from(read(f, name, func(s string) (float64, error) {
		if !plainNumber.MatchString(s) || decimal(s) > 1000 {
			return 0, wrong("Write the area as a number such as 0.12; 1000 is the most.")
		}
		return decimal(s), nil
	}))
}

// grade reads a condition grade, 1 to 6; 0 when it is not graded.
func (f *form) grade(name string) int {
	return read(f, name, func(s string) (int, error) {
		n, err := strconv.Atoi(s)
		if err != nil || n < 0 || n > 6 {
			return 0, wrong("A grade is 1 to 6. Leave it empty where the piece is not graded.")
		}
		return n, nil
	})
}

// errors lists everything that is wrong with the form; none with a form that is
// shown for the first time.
func (f *form) errors() []ui.FieldError {
	if f == nil {
		return nil
	}
	return f.faults
}

// again shows a field again with what was typed; f is nil on a fresh page. So do
// choiceAgain and checkedAgain.
func again(f *form, p ui.FieldProps) ui.FieldProps {
	if f == nil {
		return p
	}
	return f.field(p)
}

func choiceAgain(f *form, p ui.SelectProps) ui.SelectProps {
	if f == nil {
		return p
	}
	return f.choice(p)
}

func checkedAgain(f *form, p ui.CheckboxProps) ui.CheckboxProps {
	if f != nil {
		p.Checked, p.Error = slices.Contains(f.values[p.Name], p.Value), f.error(p.Name)
	}
	return p
}

// start is again for a field that the page fills in: another form of the same page
// that failed leaves it as it was.
func start(f *form, p ui.FieldProps) ui.FieldProps {
	if f == nil {
		return p
	}
	p.Error = f.error(p.Name)
	if f.values.Has(p.Name) {
		p.Value = f.get(p.Name)
	}
	return p
}

// openAct tells whether the form of a kind of entry is the one that failed.
func openAct(f *form, k restoration.Kind) bool { return f != nil && f.get("kind") == string(k) }

func reasonHint(wait string) string {
	if wait != "" {
		return "Needed to work against the wait, or to skip the step. The ledger keeps it."
	}
	return "Needed to skip the step."
}
