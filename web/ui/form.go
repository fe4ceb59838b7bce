package ui

import (
	"strconv"

	"github.com/a-h/templ"
)

// FieldProps is one labelled input. The id of the input is its name.
type FieldProps struct {
	Name, Label string
	Value       string
	Error       string // says what is wrong and what would be right; "" when fine
	Hint        string
	Type        string // "" means text; "textarea" for more lines
	Unit        string // stands after the input: "h", "m²"
	Required    bool
	ByHint      bool // the hint says who may leave it empty
	Autofocus   bool
	Complete    string // autocomplete token; "" means off
	Mode        string // inputmode: "numeric", "decimal"
	Min, Max    string
	Step        string
	MaxLen      int
	Rows        int
	List        []string // suggestions
	Accept      string   // file types
	Width       string   // "", "short", "mid": how long an answer is expected
	Placeholder string
}

// Option is one choice.
type Option struct{ Value, Word, Hint string }

// SelectProps is a labelled choice of one.
type SelectProps struct {
	Name, Label string
	Value       string
	Options     []Option
	Error, Hint string
	Required    bool
}

// CheckboxProps is one labelled tick.
type CheckboxProps struct {
	Name, Label string
	Value       string // "" means "on"
	Checked     bool
	Error, Hint string
	Required    bool
	Piece       string // id of the piece that it selects; the plan mirrors it
}

// StepperProps is hours in quarter steps.
type StepperProps struct {
	Name, Label string
	Minutes     int
	Value       string // what was typed, when it was wrong; wins over Minutes
	Error, Hint string
	Started     string // RFC 3339 instant of a running timer; "" for none
	Now         string // RFC 3339 instant of the server as the page was drawn; "" trusts the tablet's clock
	Limit       int    // minutes from which the timer no longer fills in hours; 0: the script's own
	Form        string // id of the form it belongs to, where it stands outside of it
	Blank       bool   // nothing stands in it where Value is ""
}

// ButtonProps is a button, or a link that looks like one when Href is set.
type ButtonProps struct {
	Word        string
	Kind        string // "main", "danger", "quiet" or ""
	Href        string
	Name, Value string
	Hold        bool // bench: held for a second before it acts
	Form        string
	Formaction  string
	Disabled    bool
	Hint        string // second line, small
}

// FieldError is one line of an error summary.
type FieldError struct{ Name, Text string }

func (f FieldProps) inputType() string {
	if f.Type == "" {
		return "text"
	}
	return f.Type
}

func (f FieldProps) complete() string {
	if f.Complete == "" {
		return "off"
	}
	return f.Complete
}

func (f FieldProps) rows() int {
	if f.Rows == 0 {
		return 4
	}
	return f.Rows
}

// describedBy lists the ids of what belongs to the field: its hint and error.
func describedBy(name, hint, err string) string {
	switch {
	case hint != "" && err != "":
		return name + "-hint " + name + "-error"
	case hint != "":
		return name + "-hint"
	case err != "":
		return name + "-error"
	}
	return ""
}

func (c CheckboxProps) value() string {
	if c.Value == "" {
		return "on"
	}
	return c.Value
}

// id of a checkbox is its name and value: several may share a name.
func (c CheckboxProps) id() string {
	if c.Value == "" {
		return c.Name
	}
	return c.Name + "-" + c.Value
}

func (s StepperProps) value() string {
	if s.Value != "" || s.Blank {
		return s.Value
	}
	return hoursNumber(s.Minutes)
}

// attributes are those of the number input.
func (s StepperProps) attributes() templ.Attributes {
	a := described(s.Name, s.Hint, s.Error, !s.Blank)
	if s.Form != "" {
		a["form"] = s.Form
	}
	return a
}

func (b ButtonProps) class() string {
	if b.Kind == "" {
		return "button"
	}
	return "button button-" + b.Kind
}

// attributes are those an input has only when they are asked for.
func (f FieldProps) attributes() templ.Attributes {
	a := described(f.Name, f.Hint, f.Error, f.Required)
	if f.Type != "file" {
		a["autocomplete"] = f.complete()
	}
	for name, value := range map[string]string{
		"inputmode": f.Mode, "min": f.Min, "max": f.Max, "step": f.Step,
		"accept": f.Accept, "placeholder": f.Placeholder,
	} {
		if value != "" {
			a[name] = value
		}
	}
	if f.Autofocus {
		a["autofocus"] = true
	}
	if f.MaxLen > 0 {
		a["maxlength"] = strconv.Itoa(f.MaxLen)
	}
	if len(f.List) > 0 {
		a["list"] = f.Name + "-list"
	}
	return a
}

func (c CheckboxProps) attributes() templ.Attributes {
	a := described(c.id(), c.Hint, c.Error, c.Required)
	if c.Piece != "" {
		a["data-piece"] = c.Piece
	}
	return a
}

func (b ButtonProps) attributes() templ.Attributes {
	a := templ.Attributes{"type": "submit"}
	for name, value := range map[string]string{
		"name": b.Name, "value": b.Value, "form": b.Form, "formaction": b.Formaction,
	} {
		if value != "" {
			a[name] = value
		}
	}
	if b.Hold {
		a["data-hold"] = true
	}
	if b.Disabled {
		a["disabled"] = true
	}
	return a
}

func described(name, hint, err string, required bool) templ.Attributes {
	a := templ.Attributes{}
	if ids := describedBy(name, hint, err); ids != "" {
		a["aria-describedby"] = ids
	}
	if err != "" {
		a["aria-invalid"] = "true"
	}
	if required {
		a["required"] = true
	}
	return a
}
