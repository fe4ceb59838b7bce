package ui

import (
	"fmt"
	"time"
)

// TimerProps is a person's clock, as it stands in the bench's head. The text stands for
// itself; where it runs, the script moves it on.
type TimerProps struct {
	Word    string // what is timed: "Ash tray"
	Minutes int
	Runs    bool
	Now     time.Time // the server's, as the page was drawn
}

// Text is what the clock shows: "0 h 42 min".
func (t TimerProps) Text() string { return fmt.Sprintf("%d h %02d min", t.Minutes/60, t.Minutes%60) }

// Since is the hour at which the clock would have been started, had it never stood still.
func (t TimerProps) Since() string {
	return t.Now.Add(-time.Duration(t.Minutes) * time.Minute).UTC().Format(time.RFC3339)
}

// ServerNow is Now as the script reads it.
func (t TimerProps) ServerNow() string { return t.Now.UTC().Format(time.RFC3339) }
