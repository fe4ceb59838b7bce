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
	WorkedAt    time.Time // for whose day they count
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

// SheetBack is how long after work was done its hours may be said and still count for the
// day of the work.
const SheetBack = 14 * 24 * time.Hour

// Sheet gives the rows of a time sheet, by the hour for which they count. entries hold, in any
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
	slices.SortStableFunc(rows, func(a, b SheetRow) int { return a.WorkedAt.Compare(b.WorkedAt) })
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

// clock says what ran for the row, and for which day it counts. Hours that are what the
// clock showed, to the quarter, come from it. What a person says of a clock by itself, on
// a pause, is of the clock too: fewer hours than it showed end sooner. Hours of the clock
// were worked when its last span began, however late they are said, up to [SheetBack];
// all others when they are entered.
func (r *SheetRow) clock(ran []Span) {
	r.WorkedAt = r.Event.At
	if shown := worked(ran); len(ran) > 0 && (shown.Quarters() == r.Typed || shown == r.Typed) {
		r.Source = SourceTimer
	} else if r.Event.Kind == KindPause {
		ran = upTo(ran, r.Typed)
	}
	if n := len(ran); n > 0 {
		r.From, r.To = ran[0].From, ran[n-1].To
		r.Paused = Minutes(r.To.Sub(r.From)/time.Minute) - worked(ran)
		last := ran[n-1].From
		if (r.Source == SourceTimer || r.Event.Kind == KindPause) && r.Event.At.Sub(last) <= SheetBack {
			r.WorkedAt = last
		}
	}
	if len(r.Corrections) > 0 {
		r.Source = SourceCorrected
	}
}

// upTo gives the spans up to where they come to m; all of them where they come to less.
func upTo(spans []Span, m Minutes) []Span {
	left := m.Duration()
	for i, s := range spans {
		if ran := s.To.Sub(s.From); ran < left {
			left -= ran
			continue
		}
		return append(slices.Clone(spans[:i]), Span{s.From, s.From.Add(left)})
	}
	return spans
}
