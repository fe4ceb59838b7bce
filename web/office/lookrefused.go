package office

import (
	"strconv"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// refusedRead is how many refused entries are read for the list of what needs a look.
const refusedRead = 1000

// settling names a refused entry and the entry that settles it.
type settling struct{ Refused, Entry string }

// refusedKind tells which refused entries stand as one line: those whose pieces took
// the same entry since, those of one batch, and those of one cause.
type refusedKind struct {
	through bool
	batch   restoration.ID
	kind    restoration.Kind
	stage   string
	reason  string
}

func refusedKindOf(e restoration.Entry) refusedKind {
	switch k := (refusedKind{kind: e.Event.Kind, stage: e.Stage}); {
	case e.Through:
		return refusedKind{through: true}
	case !e.Event.Batch.IsZero():
		k.batch = e.Event.Batch
		return k
	default:
		k.reason = e.Outcome.Reason
		return k
	}
}

// refusedItems lists the refused entries that nobody has settled, each kind at the place
// of its newest. What went through since needs the least and stands last.
func (d shopData) refusedItems() []lookItem {
	var kinds []refusedKind
	byKind := map[refusedKind][]restoration.Entry{}
	for _, e := range d.Refused {
		k := refusedKindOf(e)
		if len(byKind[k]) == 0 && !k.through {
			kinds = append(kinds, k)
		}
		byKind[k] = append(byKind[k], e)
	}
	var out []lookItem
	for _, k := range append(kinds, refusedKind{through: true}) {
		switch list := byKind[k]; len(list) {
		case 0:
		case 1:
			out = append(out, d.refusedItem(list[0]))
		default:
			out = append(out, d.refusedTogether(k, list))
		}
	}
	return out
}

// refusedItem is one refused entry.
func (d shopData) refusedItem(e restoration.Entry) lookItem {
	line := d.reader().line(e)
	item := lookItem{Car: e.CarWO, Text: line.Words, Note: joinWords(line.Who, ui.When(line.At, d.Loc), line.Late),
		Href: line.Href, Settle: []settling{{e.Event.ID.String(), newID().String()}}}
	if line.Piece != "" {
		item.Text = line.Piece + ": " + line.Words
	}
	switch {
	case e.Through:
		item.Text += " Went through since."
	case line.Allowed != "":
		item.Text += " " + line.Allowed
	}
	return item
}

// refusedTogether is several refused entries of one kind as one line.
func (d shopData) refusedTogether(k refusedKind, list []restoration.Entry) lookItem {
	item := lookItem{ID: "refused-" + list[len(list)-1].Event.ID.String(), Car: list[0].CarWO, Note: d.spanOf(list)}
	reasons := map[string]bool{}
	var allowed time.Time
	for _, e := range list {
		one := d.refusedItem(e)
		item.Inside = append(item.Inside, one)
		item.Settle = append(item.Settle, settling{one.Settle[0].Refused, newID().String()})
		reasons[e.Outcome.Reason] = true
		if e.CarWO != item.Car {
			item.Car = ""
		}
		if at := e.Outcome.AllowedFrom; at.After(allowed) {
			allowed = at
		}
	}
	if k.through {
		item.Text = ui.Count(len(list), "refused entry", "refused entries") + " went through since."
		return item
	}
	for i, e := range list {
		item.Inside[i].Text = d.insideWords(e, len(reasons) > 1)
	}
	item.Text = countEntries(list) + " refused: " + lowerFirst(restoration.ActWordsOf(list, d.Settings.Units))
	if len(reasons) > 1 {
		item.Text += ", for " + ui.Count(len(reasons), "reason", "reasons") + "."
	} else {
		item.Text += ". " + list[0].Outcome.Reason
	}
	if allowed.After(d.Now) {
		item.Text += " All are allowed from " + ui.Clock(allowed, d.Now, d.Loc) + "."
	}
	return item
}

// insideWords are those of one entry below the line that says what was refused, and why
// where there is one reason.
func (d shopData) insideWords(e restoration.Entry, reasonsDiffer bool) string {
	text := restoration.ActWords(e, d.Settings.Units)
	if e.Piece != "" {
		text = e.Piece + ": " + text
	}
	if reasonsDiffer {
		text += ". " + e.Outcome.Reason
	}
	return text
}

// countEntries counts the pieces that entries are about, or the entries, where a piece
// has several or none.
func countEntries(list []restoration.Entry) string {
	pieces := map[restoration.ID]bool{}
	for _, e := range list {
		pieces[e.Event.PieceID] = true
	}
	if n := len(pieces); n == len(list) {
		return ui.Count(n, "piece", "pieces")
	}
	return ui.Count(len(list), "entry", "entries")
}

// spanOf says who made entries, where it was one person, and from when until when.
func (d shopData) spanOf(list []restoration.Entry) string {
	who, from, to := byWhom(list[0]), list[0].Event.At, list[0].Event.At
	for _, e := range list {
		if byWhom(e) != who {
			who = "several people"
		}
		if e.Event.At.Before(from) {
			from = e.Event.At
		}
		if e.Event.At.After(to) {
			to = e.Event.At
		}
	}
	if first, last := ui.When(from, d.Loc), ui.When(to, d.Loc); first != last {
		return joinWords(who, first+" to "+last)
	}
	return joinWords(who, ui.When(from, d.Loc))
}

// settleWord is the word on the button that settles n refused entries.
func settleWord(n int) string {
	if n == 1 {
		return "Mark as settled"
	}
	return "Settle all " + strconv.Itoa(n)
}
