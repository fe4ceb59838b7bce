package bench

import (
	"unicode/utf8"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// noteShown is how many signs of a note stand on a piece's page; the whole of it stands in
// its history.
const noteShown = 240

// told is what others left to be known before the piece is touched: the last note, and why
// it was on hold until lately.
func (in pieceInput) told() []ui.Notice {
	var list []ui.Notice
	if in.Noted != nil {
		list = append(list, in.tell("“"+shortened(in.Noted.Event.Note, noteShown)+"”", *in.Noted))
	}
	if hold, release, ok := restoration.LastHold(in.Ledger, in.Now); ok {
		list = append(list, in.tell("Released from hold, which was for: "+hold.Event.Reason, release))
	}
	return list
}

// tell adds who said it, and when.
func (in pieceInput) tell(says string, e restoration.Entry) ui.Notice {
	return ui.Notice{Kind: ui.NoticeInfo, Text: says + " · " + e.Person + ", " + ui.When(e.Event.At, in.Loc)}
}

// shortened ends a text after so many signs.
func shortened(text string, most int) string {
	if utf8.RuneCountInString(text) <= most {
		return text
	}
	return string([]rune(text)[:most-1]) + "…"
}
