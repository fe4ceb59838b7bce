package office

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/google/uuid"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// maxForm is the most that a form may send, in bytes; a note of two thousand signs
// and a few hundred ticked pieces stay far below.
const maxForm = 256 << 10

// form reads what was posted field by field and gathers what is wrong with it, so
// that a page can show everything at once with what was typed.
type form struct {
	values url.Values
	wrong  []ui.FieldError
}

// readForm reads the posted fields. The error is a Problem when it is too much.
func readForm(w http.ResponseWriter, r *http.Request) (*form, error) {
	r.Body = http.MaxBytesReader(w, r.Body, maxForm)
	err := r.ParseForm()
	var tooLarge *http.MaxBytesError
	if errors.As(err, &tooLarge) {
		return nil, restoration.Problemf(restoration.TroubleInvalid, "",
			"That is more text than a form takes (%d kB). Go back and shorten it; nothing was saved.", maxForm>>10)
	}
	if err != nil {
		return nil, restoration.Problemf(restoration.TroubleInvalid, "",
			"The form did not arrive whole. Go back and send it again; nothing was saved.")
	}
	return &form{values: r.PostForm}, nil
}

// raw is what was typed.
func (f *form) raw(name string) string { return f.values.Get(name) }

// fail notes what is wrong with a field.
func (f *form) fail(name, format string, args ...any) {
	f.wrong = append(f.wrong, ui.FieldError{Name: name, Text: fmt.Sprintf(format, args...)})
}

func (f *form) ok() bool { return len(f.wrong) == 0 }

// take notes err at its field and tells whether it was one that a person can mend
// in the form. Any other error is the caller's to return.
func (f *form) take(err error) bool {
	p, ok := restoration.AsProblem(err)
	if !ok || p.Trouble != restoration.TroubleInvalid && p.Trouble != restoration.TroubleConflict {
		return false
	}
	f.fail(p.Field, "%s", p.Message)
	return true
}

// text is a trimmed line or text of at most most signs.
func (f *form) text(name string, most int) string {
	s := strings.TrimSpace(f.raw(name))
	if n := utf8.RuneCountInString(s); n > most {
		f.fail(name, "This has %d signs; %d are the most. Shorten it.", n, most)
	}
	return s
}

// need is text that may not be empty; ask says what to type.
func (f *form) need(name string, most int, ask string) string {
	s := f.text(name, most)
	if s == "" {
		f.fail(name, "%s", ask)
	}
	return s
}

// decimal is a number with point or comma; false when the field is empty or wrong.
func (f *form) decimal(name string) (float64, bool) {
	s := strings.TrimSpace(f.raw(name))
	if s == "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
	if err != nil {
		f.fail(name, "%.20q is no number. Write it like 1.5.", s)
		return 0, false
	}
	return v, true
}

// hours is labour in hours; nil when the field is empty or wrong.
func (f *form) hours(name string) *restoration.Minutes {
	v, ok := f.decimal(name)
	if !ok {
		return nil
	}
	m, err := restoration.FromHours(v)
	if err != nil {
		f.fail(name, "%s.", upperFirst(err.Error()))
		return nil
	}
	return &m
}

// area is square metres, 0 when the field is empty.
func (f *form) area(name string, us bool) float64 {
	v, ok := f.decimal(name)
	if !ok {
		return 0
	}
	if !(v >= 0 && v <= 1000) { // NaN is neither
		f.fail(name, "An area lies between 0 and 1000. Check the decimal point.")
		return 0
	}
	if us {
		return v * m2PerSqFt
	}
	return v
}

// m2PerSqFt is exact: 1 ft = 0.3048 m.
const m2PerSqFt = 0.3048 * 0.3048

// whole is an integer from low to high; 0 when the field is empty.
func (f *form) whole(name string, low, high int) int {
	s := strings.TrimSpace(f.raw(name))
	if s == "" {
		return 0
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < low || n > high {
		f.fail(name, "%.20q is no whole number from %d to %d.", s, low, high)
		return 0
	}
	return n
}

// choice is one of the allowed values.
func (f *form) choice(name string, allowed ...string) string {
	s := strings.TrimSpace(f.raw(name))
	if !slices.Contains(allowed, s) {
		f.fail(name, "Choose one of the list.")
		return ""
	}
	return s
}

// id is the identity of an entry or piece; zero when it can't be read.
func (f *form) id(name string) restoration.ID {
	id, err := restoration.ParseID(f.raw(name))
	if err != nil {
		f.fail(name, "The form is damaged. Load the page again.")
	}
	return id
}

// at gives what is wrong with a field, "" when nothing is. It works on nil, for a
// page that shows a form for the first time.
func (f *form) at(name string) string {
	if f == nil {
		return ""
	}
	for _, e := range f.wrong {
		if e.Name == name {
			return e.Text
		}
	}
	return ""
}

// errors lists everything that is wrong; it works on nil.
func (f *form) errors() []ui.FieldError {
	if f == nil {
		return nil
	}
	return f.wrong
}

// typed is what was typed, or start on a form that is shown for the first time.
func (f *form) typed(name, start string) string {
	if f == nil || !f.values.Has(name) {
		return start
	}
	return f.raw(name)
}

// newID makes the identity of an entry. It is made when the form is drawn, so that
// a form sent twice is one entry.
func newID() restoration.ID { return restoration.ID(uuid.Must(uuid.NewV7())) }

func upperFirst(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return strings.ToUpper(string(r)) + s[n:]
}
