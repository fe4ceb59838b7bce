package restoration

import (
	"cmp"
	"slices"
	"time"
)

// SheetSource is how the hours of an entry were found.
type SheetSource string

// The sources.
const (
	SourceTimer     SheetSource = "timer"     // as the clock showed, to the quarter of an hour
	SourceTyped     SheetSource = "typed"     // the person's own word
	SourceCorrected SheetSource = "corrected" // the owner's, with a reason
)

// SheetRow is an entry that logged hours, with what it counts for by now.
type SheetRow struct {
	Entry
	Hours       Minutes   // as it counts
	Typed       Minutes   // as it was entered
	From, To    time.Time // of the clock; zero: none ran
	Paused      Minutes   // between From and To
	Source      SheetSource
	Corrections []Correction // the earliest first
}

// Correction is what an owner put in the place of an entry's hours.
type Correction struct {
	At         time.Time
	By, Reason string
	Was, Is    Minutes
}

// Sheet gives the rows of a time sheet, by the hour of their entry. entries hold, in any
// order, what was entered of [StepClockKinds] about the steps concerned; for the hours of
// the clock, what their people started besides, and those of [StopKinds]. The hours of a step's rows add up to what
// is logged on it.
func Sheet(entries []Entry) []SheetRow {
	entries = slices.Clone(entries)
	slices.SortFunc(entries, func(a, b Entry) int { return cmp.Compare(a.Seq, b.Seq) })
	book := sheetBook{byID: map[ID]*SheetRow{}, bySteps: map[ID][]*SheetRow{}}
	for _, e := range entries {
		if e.Outcome.Result != Refused {
			book.enter(e)
		}
	}
	ran := windClocks(entries).logged
	rows := make([]SheetRow, 0, len(book.rows))
	for _, row := range book.rows {
		row.clock(ran[row.Event.ID])
		rows = append(rows, *row)
	}
	slices.SortStableFunc(rows, func(a, b SheetRow) int { return a.Event.At.Compare(b.Event.At) })
	return rows
}

// LogsHours tells whether the entry puts hours on a step.
func (e Event) LogsHours() bool {
	return e.Hours != nil && slices.Contains(LoggingKinds(), e.Kind)
}

// LoggingKinds lists the kinds whose hours are logged on their step.
func LoggingKinds() []Kind { return []Kind{KindTick, KindLogTime, KindPause} }

// sheetBook follows the hours of entries in the order in which they came, as the steps do.
type sheetBook struct {
	rows    []*SheetRow
	byID    map[ID]*SheetRow
	bySteps map[ID][]*SheetRow
}

func (b *sheetBook) enter(e Entry) {
	ev := e.Event
	switch {
	case ev.LogsHours():
		row := &SheetRow{Entry: e, Hours: *ev.Hours, Typed: *ev.Hours, Source: SourceTyped}
		b.rows, b.byID[ev.ID] = append(b.rows, row), row
		b.bySteps[ev.StepID] = append(b.bySteps[ev.StepID], row)
	case ev.Kind == KindUntick && ev.Hours != nil && e.Outcome.Result == Applied:
		b.takeBack(ev.StepID, *ev.Hours)
	case ev.Kind == KindCorrect && e.Outcome.Result == Applied && ev.Was != nil && ev.Hours != nil:
		if row := b.byID[ev.Ref]; row != nil {
			row.Hours = *ev.Hours
			row.Corrections = append(row.Corrections, Correction{At: ev.At, By: e.Person, Reason: ev.Reason, Was: *ev.Was, Is: *ev.Hours})
		}
	}
}

// takeBack takes hours off a step, of its last entries first: an undo means the tick just
// made.
func (b *sheetBook) takeBack(step ID, m Minutes) {
	for _, row := range slices.Backward(b.bySteps[step]) {
		off := min(m, row.Hours)
		row.Hours -= off
		m -= off
	}
}

// clock says what ran for the row. Hours that are what it showed, to the quarter, come
// from it.
func (r *SheetRow) clock(ran []Span) {
	if len(ran) > 0 {
		r.From, r.To = ran[0].From, ran[len(ran)-1].To
		r.Paused = Minutes(r.To.Sub(r.From)/time.Minute) - worked(ran)
		if worked(ran).Quarters() == r.Typed || worked(ran) == r.Typed {
			r.Source = SourceTimer
		}
	}
	if len(r.Corrections) > 0 {
		r.Source = SourceCorrected
	}
}
