package office

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// maxForm is the largest form without a file, in bytes.
const maxForm = 1 << 20

// The longest texts, in characters.
const (
	maxLine  = 60
	maxText  = 2000
	maxLines = 20_000 // a list, one a line
)

// form is what a person typed and what is wrong with it. A parser reads the values
// and gathers a sentence for each field that can't be right; the page is then shown
// again with both.
type form struct {
	values url.Values
	faults []ui.FieldError
	warned []string // what the rules warn of, and would take nevertheless
}

// readForm reads a posted form that holds no file.
func readForm(w http.ResponseWriter, r *http.Request) (*form, error) {
	r.Body = http.MaxBytesReader(w, r.Body, maxForm)
	if err := r.ParseForm(); err != nil {
		var tooLarge *http.MaxBytesError
		if errors.As(err, &tooLarge) {
			return nil, restoration.Problemf(restoration.TroubleInvalid, "",
				"The form holds more than 1 MB of text. Go back, shorten it and send it again.")
		}
		return nil, restoration.Problemf(restoration.TroubleInvalid, "", "The form arrived damaged. Go back and send it again.")
	}
	return &form{values: r.PostForm}, nil
}

// get gives a value as it was typed.
func (f *form) get(name string) string { return f.values.Get(name) }

// ticked tells whether a checkbox was.
func (f *form) ticked(name string) bool { return f.values.Has(name) }

// fault says what is wrong with a field. The first sentence stands.
func (f *form) fault(name, format string, args ...any) {
	if f.error(name) == "" {
		f.faults = append(f.faults, ui.FieldError{Name: name, Text: fmt.Sprintf(format, args...)})
	}
}

// error is the sentence at a field, or "".
func (f *form) error(name string) string {
	for _, e := range f.faults {
		if e.Name == name {
			return e.Text
		}
	}
	return ""
}

// ok tells whether nothing is wrong.
func (f *form) ok() bool { return len(f.faults) == 0 }

// take puts a refusal of the shop at its field and gives nil, or gives back an error
// that no typing mends.
func (f *form) take(err error) error {
	p, ok := restoration.AsProblem(err)
	if !ok || p.Trouble != restoration.TroubleInvalid && p.Trouble != restoration.TroubleConflict {
		return err
	}
	f.fault(p.Field, "%s", p.Message)
	return nil
}

// mustHold puts what the rules found at its fields.
func (f *form) mustHold(found []*restoration.Problem) {
	for _, p := range found {
		f.fault(p.Field, "%s", p.Message)
	}
}

// refuse puts a refusal at the named field; nil is none.
func (f *form) refuse(name string, err error) {
	if err != nil {
		f.fault(name, "%s", err)
	}
}

// field fills in what was typed and what is wrong with it; so do choice and tick.
func (f *form) field(p ui.FieldProps) ui.FieldProps {
	p.Value, p.Error = f.get(p.Name), f.error(p.Name)
	return p
}

func (f *form) choice(p ui.SelectProps) ui.SelectProps {
	p.Value, p.Error = f.get(p.Name), f.error(p.Name)
	return p
}

func (f *form) tick(p ui.CheckboxProps) ui.CheckboxProps {
	p.Checked, p.Error = f.ticked(p.Name), f.error(p.Name)
	return p
}

// line reads a text of one line; runs of blanks become one.
func (f *form) line(name string) string { return f.lineUpTo(name, maxLine) }

func (f *form) lineUpTo(name string, most int) string {
	s := strings.Join(strings.Fields(f.get(name)), " ")
	f.check(name, s, most, "")
	return s
}

// needed is line for a field that must not stay empty.
func (f *form) needed(name, sentence string) string {
	s := f.line(name)
	if s == "" {
		f.fault(name, "%s", sentence)
	}
	return s
}

// text reads a text of several lines.
func (f *form) text(name string) string { return f.textUpTo(name, maxText) }

func (f *form) textUpTo(name string, most int) string {
	s := strings.TrimSpace(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(f.get(name)))
	f.check(name, s, most, "\n\t")
	return s
}

// lines reads a text as its lines; blank ones don't count.
func (f *form) lines(name string) []string {
	var out []string
	for l := range strings.Lines(f.textUpTo(name, maxLines)) {
		if l = strings.Join(strings.Fields(l), " "); l != "" {
			out = append(out, l)
		}
	}
	return out
}

func (f *form) check(name, s string, most int, controls string) {
	strange := func(r rune) bool {
		return unicode.IsControl(r) && !strings.ContainsRune(controls, r) || r == utf8.RuneError
	}
	if strings.ContainsFunc(s, strange) {
		f.fault(name, "The text holds a sign that can't be shown. Type it again by hand.")
	}
	if n := utf8.RuneCountInString(s); n > most {
		f.fault(name, "The text has %d characters; shorten it to %d.", n, most)
	}
}

// date reads a day; zero when the field is empty.
func (f *form) date(name string) time.Time {
	return read(f, name, parseDate)
}

// money reads an amount in the smallest coin; 0 when the field is empty.
func (f *form) money(name string) int64 {
	return read(f, name, parseMoney)
}

// hours reads a span; 0 when the field is empty.
func (f *form) hours(name string) restoration.Minutes {
	return read(f, name, parseHours)
}

// read parses a field that may stay empty.
func read[T any](f *form, name string, parse func(string) (T, error)) T {
	var none T
	s := strings.TrimSpace(f.get(name))
	if s == "" {
		return none
	}
	v, err := parse(s)
	if err != nil {
		f.fault(name, "%s", err)
		return none
	}
	return v
}

// oneOf reads one of the known words; what else arrives was made by no form of ours.
func oneOf[T ~string](f *form, name string, known []T) T {
	for _, k := range known {
		if string(k) == f.get(name) {
			return k
		}
	}
	f.fault(name, "Choose one of those listed.")
	var none T
	return none
}
