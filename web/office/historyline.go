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

// reader is for whom entries are put into words: when, and in which zone and units.
type reader struct {
	Now   time.Time
	Loc   *time.Location
	Units restoration.Units
}

func (v visit) reader() reader { return reader{v.Now, v.Loc, v.Settings.Units} }

// lines puts entries into words; named adds the piece that each is about.
func (rd reader) lines(entries []restoration.Entry, named bool) []historyLine {
	lines := make([]historyLine, len(entries))
	for i, e := range entries {
		lines[i] = rd.line(e)
		if !named {
			lines[i].Piece, lines[i].Href = "", ""
		}
	}
	return lines
}

func (rd reader) line(e restoration.Entry) historyLine {
	line := historyLine{
		Seq: e.Seq, At: e.Event.At, Now: rd.Now, Loc: rd.Loc, Who: byWhom(e),
		Words: restoration.Words(e, rd.Units), Refused: e.Outcome.Result == restoration.Refused,
	}
	if !e.Event.PieceID.IsZero() {
		line.Piece, line.Href = e.Piece, piecePath(e.Event.PieceID)
	}
	if line.Refused && e.Outcome.AllowedFrom.After(rd.Now) {
		line.Allowed = "Allowed from " + ui.When(e.Outcome.AllowedFrom, rd.Loc) + "."
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
