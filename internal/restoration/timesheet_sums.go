package restoration

import (
	"cmp"
	"slices"
	"time"
)

// SheetFilter chooses rows of the time sheet. Zero fields do not choose.
type SheetFilter struct {
	From, To time.Time // of the work: From on, before To
	PersonID int64
	CarWO    string
	Stage    string // its name
}

// Choose gives the rows that f chooses. A row that was taken back by an undo is left out.
func (f SheetFilter) Choose(rows []SheetRow) []SheetRow {
	var chosen []SheetRow
	for _, r := range rows {
		at := r.WorkedAt
		fits := !at.Before(f.From) && (f.To.IsZero() || at.Before(f.To)) && (f.PersonID == 0 || f.PersonID == r.Event.PersonID) &&
			(f.CarWO == "" || f.CarWO == r.CarWO) && (f.Stage == "" || f.Stage == r.Stage)
		if fits && (r.Hours > 0 || len(r.Corrections) > 0) {
			chosen = append(chosen, r)
		}
	}
	return chosen
}

// SheetSum is what the rows of one thing come to.
type SheetSum struct {
	Key   string // sorts
	Word  string
	Hours Minutes
}

// SheetDay is one person's rows of one day of the shop.
type SheetDay struct {
	Day      time.Time // its midnight
	PersonID int64
	Person   string
	Rows     []SheetRow
	Hours    Minutes
}

// SheetDays parts rows by day and person, the days in order and people by name.
func SheetDays(rows []SheetRow, loc *time.Location) []SheetDay {
	at := map[clockDay]int{}
	var days []SheetDay
	for _, r := range rows {
		key := clockDay{startOfDay(r.WorkedAt.In(loc)), r.Event.PersonID}
		i, known := at[key]
		if !known {
			i, at[key] = len(days), len(days)
			days = append(days, SheetDay{Day: key.day, PersonID: key.person, Person: r.Person})
		}
		days[i].Rows = append(days[i].Rows, r)
		days[i].Hours += r.Hours
	}
	slices.SortStableFunc(days, func(a, b SheetDay) int { return cmp.Or(a.Day.Compare(b.Day), cmp.Compare(a.Person, b.Person)) })
	return days
}

type clockDay struct {
	day    time.Time
	person int64
}

// SheetSums adds up rows by what key gives for each: a key that sorts and the word for it.
func SheetSums(rows []SheetRow, key func(SheetRow) (key, word string)) []SheetSum {
	at := map[string]int{}
	var sums []SheetSum
	for _, r := range rows {
		k, word := key(r)
		i, known := at[k]
		if !known {
			i, at[k] = len(sums), len(sums)
			sums = append(sums, SheetSum{Key: k, Word: word})
		}
		sums[i].Hours += r.Hours
	}
	slices.SortFunc(sums, func(a, b SheetSum) int { return cmp.Compare(a.Key, b.Key) })
	return sums
}

// SheetStages adds up rows by stage, in the order of work: a stage stands where it comes
// soonest on any of their pieces.
func SheetStages(rows []SheetRow) []SheetSum {
	place := map[string]int{}
	for _, r := range rows {
		if at, known := place[r.Stage]; !known || r.Position < at {
			place[r.Stage] = r.Position
		}
	}
	sums := SheetSums(rows, func(r SheetRow) (string, string) { return r.Stage, r.Stage })
	slices.SortStableFunc(sums, func(a, b SheetSum) int { return cmp.Compare(place[a.Key], place[b.Key]) })
	return sums
}

// SheetTotal adds up rows.
func SheetTotal(rows []SheetRow) (sum Minutes) {
	for _, r := range rows {
		sum += r.Hours
	}
	return sum
}

// WeekStart is the midnight on which the week of t begins in the shop's zone: Monday, as
// ISO 8601 counts.
func WeekStart(t time.Time, loc *time.Location) time.Time {
	day := startOfDay(t.In(loc))
	return day.AddDate(0, 0, -(int(day.Weekday())+6)%7)
}
