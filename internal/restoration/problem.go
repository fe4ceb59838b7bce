package restoration

import (
	"errors"
	"fmt"
)

// Trouble says what sort of thing stands in the way; the web maps it to a status.
type Trouble int

// The troubles.
const (
	TroubleInvalid     Trouble = iota + 1 // what was entered can't be right
	TroubleNotFound                       // there is no such thing
	TroubleConflict                       // somebody else was first, or the state forbids it
	TroubleForbidden                      // not for this person
	TroubleUnavailable                    // the database can't be reached just now
)

// Problem is an error that a person can act on: Message says what is wrong and what
// to do. Any other error is internal and never shown.
type Problem struct {
	Trouble Trouble
	Field   string // the form's field at fault, if one is
	Message string
}

// Error is the Message alone.
func (p *Problem) Error() string { return p.Message }

// Problemf makes a Problem.
func Problemf(t Trouble, field, format string, args ...any) *Problem {
	return &Problem{Trouble: t, Field: field, Message: fmt.Sprintf(format, args...)}
}

// AsProblem finds the Problem in err's chain.
func AsProblem(err error) (*Problem, bool) {
	var p *Problem
	ok := errors.As(err, &p)
	return p, ok
}
