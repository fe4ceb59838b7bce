package localdb

import "fmt"

// AlreadyRunningError says that another program serves the data folder.
type AlreadyRunningError struct {
	Dir string // the data folder
	PID int    // the program that serves it; 0 when not known
}

// Error is one sentence for a person.
func (e *AlreadyRunningError) Error() string {
	who := "Another Scumble"
	if e.PID != 0 {
		who = fmt.Sprintf("Another Scumble (process %d)", e.PID)
	}
	return fmt.Sprintf("%s is running on the data folder %s: stop it first, or give this one a folder of its own with --data-dir.", who, e.Dir)
}

// fault is a sentence for a person with its cause.
type fault struct {
	sentence string
	cause    error
}

func (f *fault) Error() string {
	if f.cause == nil {
		return f.sentence
	}
	return fmt.Sprintf("%s (%v)", f.sentence, f.cause)
}

func (f *fault) Unwrap() error { return f.cause }

// say makes an error of a sentence that says what is wrong and what to do. The
// cause, which may be nil, is added in brackets.
func say(cause error, format string, args ...any) error {
	return &fault{sentence: fmt.Sprintf(format, args...), cause: cause}
}
