package office

import (
	"strconv"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// historyLine is one entry of the ledger as the owner reads it.
type historyLine struct {
	Seq     int64
	At      time.Time
	Now     time.Time
	Loc     *time.Location
	Who     string // person, and the tablet it was entered on
	Piece   string // "" on a piece's own page
	Href    string
	Words   string
	Allowed string // the hour from which a refused entry would have been allowed
	Late    string // how much later the entry arrived than it happened
	Refused bool
}

// lateArrival is how far apart happening and arriving must be to be worth a word.
const lateArrival = 10 * time.Minute

// historyLines puts entries into words; named adds the piece that each is about.
func historyLines(entries []restoration.Entry, now time.Time, loc *time.Location, named bool) []historyLine {
	lines := make([]historyLine, len(entries))
	for i, e := range entries {
		lines[i] = historyLineOf(e, now, loc)
		if !named {
			lines[i].Piece, lines[i].Href = "", ""
		}
	}
	return lines
}

func historyLineOf(e restoration.Entry, now time.Time, loc *time.Location) historyLine {
	line := historyLine{
		Seq: e.Seq, At: e.Event.At, Now: now, Loc: loc, Who: byWhom(e),
		Words: restoration.Words(e), Refused: e.Outcome.Result == restoration.Refused,
	}
	if !e.Event.PieceID.IsZero() {
		line.Piece, line.Href = e.Piece, piecePath(e.Event.PieceID)
	}
	if line.Refused && e.Outcome.AllowedFrom.After(now) {
		line.Allowed = "Allowed from " + ui.When(e.Outcome.AllowedFrom, loc) + "."
	}
	if late := e.Event.Arrived.Sub(e.Event.At); late >= lateArrival {
		line.Late = "arrived " + restoration.Minutes(late/time.Minute).String() + " later"
	}
	return line
}

func byWhom(e restoration.Entry) string {
	who := e.Person
	if who == "" {
		who = "nobody known"
	}
	if e.Device != "" {
		return joinWords(who, e.Device)
	}
	return joinWords(who, "office")
}

// olderEntries is the address of the entries before these; "" when a page was not full.
func olderEntries(entries []restoration.Entry, path string) string {
	if len(entries) < historyRows {
		return ""
	}
	return withQuery(path, "before", strconv.FormatInt(entries[len(entries)-1].Seq, 10))
}
