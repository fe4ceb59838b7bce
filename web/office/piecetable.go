package office

import (
	"cmp"
	"net/url"
	"slices"
	"strings"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// Keys under which the piece table keeps its filter in the address.
const (
	filterStage  = "stage" // the stage that comes next
	filterTodo   = "todo"  // a stage that is still to do
	filterHours  = "hours" // the stage whose hours alone are shown
	filterSet    = "set"
	filterZone   = "zone"
	filterPerson = "person" // who has it in hand, or ticked its last step
	filterNow    = "now"    // one of the footings below
)

// What a piece's hours left may do now, as the filter names it.
const (
	nowWorkable = "workable"
	nowWaiting  = "waiting"
	nowHeld     = "held"
	nowInHand   = "hand"
	nowRework   = "rework"
	nowFinished = "finished"
)

// noSet stands in the address for pieces without a set.
const noSet = "-"

// pieceRow is one line of the piece table.
type pieceRow struct {
	ID       string
	Href     string
	Name     string // without its side, which stands in Zone
	Title    string // with its side, for sentences
	Label    string
	Zone     string // with side and place
	Set      string
	Own      string // the piece's own scheme, where it differs from the car's
	LiesAt   string
	Look     restoration.Look // reached
	Reached  string
	NextLook restoration.Look
	Next     string // "" when finished
	Now      string // filter word
	Words    string // "can be worked now", "waits until Fri 07:40"
	Span     string // "in 3 h"; "" where it says nothing more
	Trouble  string // for the plan; "" none
	Waiting  string // for the plan; "" when it doesn't wait
	Who      string
	PersonID int64
	Planned  restoration.Minutes
	Logged   restoration.Minutes
	Left     restoration.Minutes
	SentBack bool
	Rework   restoration.Minutes // the part of Left that does again what had been done

	order    int // of the piece in its car
	stageAt  int // position of the next stage, for sorting
	stageKey string
	zoneKey  string
	todo     []todoStage
	stages   []stageShare
}

// todoStage is a stage that a piece has still to go through.
type todoStage struct {
	key, name string
	at        int
	left      restoration.Minutes
}

// stageShare is what one step adds to the hours of its stage.
type stageShare struct {
	key, name             string
	planned, logged, left restoration.Minutes
}

// pieceView is what the rows of a car's pieces are made from.
type pieceView struct {
	Car    restoration.Car
	Routes map[int64]restoration.Route
	Now    time.Time
	Loc    *time.Location
	Units  restoration.Units
}

// rows makes a line of each piece.
func (v pieceView) rows(pieces []restoration.Piece) []pieceRow {
	out := make([]pieceRow, len(pieces))
	for i, p := range pieces {
		out[i] = v.row(p)
		out[i].order = i
	}
	return out
}

func (v pieceView) row(p restoration.Piece) pieceRow {
	route := v.Routes[p.RouteID]
	row := pieceRow{
		ID: p.ID.String(), Href: piecePath(p.ID), Name: p.Name, Title: p.Title(), Label: p.Label,
		Zone: where(p.Details), Set: p.Set, Own: p.Scheme, LiesAt: p.LiesAt,
		Look: p.Sum.Look, Reached: stageWord(route, p.Sum.Reached),
		Left: p.Sum.Left, SentBack: p.Sum.SentBack, stageKey: p.Sum.NextStage, zoneKey: string(p.Zone),
		stageAt: len(route.Stages),
	}
	if next, ok := route.Stage(p.Sum.NextStage); ok {
		row.Next, row.NextLook, row.stageAt = next.Name, next.Look, route.Position(next.Key)
	}
	for _, s := range p.Steps {
		row.Planned += s.Counted
		row.Logged += s.Logged
		row.stages = append(row.stages, stageShare{s.Stage, stageWord(route, s.Stage), s.Counted, s.Logged, s.Left})
		if s.Rework {
			row.Rework += s.Left
		}
		if s.Current() && !s.Settled() {
			row.todo = append(row.todo, todoStage{s.Stage, stageWord(route, s.Stage), s.Position, s.Left})
		}
	}
	row.PersonID, row.Who = lastHand(p)
	v.stand(p, &row)
	return row
}

// stand says what the piece's hours left may do now.
func (v pieceView) stand(p restoration.Piece, row *pieceRow) {
	hand := inHand(p)
	switch {
	case p.Sum.NextStep.IsZero():
		row.Now, row.Words = nowFinished, "finished"
	case p.Holding != nil:
		row.Now, row.Words, row.Trouble = nowHeld, "held: "+p.Holding.Reason, "held"
		row.Span = "since " + ui.Day(p.Holding.Since, v.Loc)
	case v.Car.State == restoration.CarOnHold:
		row.Now, row.Words, row.Trouble = nowHeld, "held with the car", "held"
	case p.Footing(v.Car.State, v.Now) == restoration.FootWaiting:
		row.Waiting = ui.Clock(p.Sum.GateFrom, v.Now, v.Loc)
		row.Now, row.Words, row.Span = nowWaiting, "waits until "+row.Waiting, ui.Span(p.Sum.GateFrom, v.Now)
	case hand != nil:
		row.Now, row.Words = nowInHand, "in hand"
		row.Span = "since " + ui.Clock(hand.HandSince, v.Now, v.Loc)
	default:
		row.Now, row.Words = nowWorkable, "can be worked now"
	}
	v.window(p, row)
	if row.Trouble == "" && p.Sum.SentBack {
		row.Trouble = "sent back"
	}
}

// window says when the recoat window of a piece shuts, or that it has.
func (v pieceView) window(p restoration.Piece, row *pieceRow) {
	switch {
	case p.Sum.LateFrom.IsZero() || row.Now == nowHeld:
	case p.Sum.LateFrom.After(v.Now):
		row.Span = joinWords(row.Span, "window shuts "+ui.Clock(p.Sum.LateFrom, v.Now, v.Loc))
	default:
		row.Span = joinWords(row.Span, p.Sum.WindowWords(v.Now))
		row.Trouble = "window shut"
	}
}

// inHand gives the step that somebody has in hand; nil when nobody has.
func inHand(p restoration.Piece) *restoration.Step {
	for i := range p.Steps {
		if p.Steps[i].State == restoration.StepInHand {
			return &p.Steps[i]
		}
	}
	return nil
}

// lastHand is who has the piece in hand, else who ticked its last step.
func lastHand(p restoration.Piece) (int64, string) {
	if s := inHand(p); s != nil {
		return s.HandBy, s.HandName
	}
	var last restoration.Step
	for _, s := range p.Steps {
		if s.DoneBy != 0 && s.DoneAt.After(last.DoneAt) {
			last = s
		}
	}
	return last.DoneBy, last.DoneName
}

// where is a piece's place in the car in words: "left · front door".
func where(d restoration.Details) string {
	words := string(d.Zone)
	if d.Side != restoration.SideNone && string(d.Side) != string(d.Zone) {
		words = joinWords(words, string(d.Side))
	}
	return joinWords(words, d.Place)
}

// joinWords sets what is there side by side.
func joinWords(parts ...string) string {
	parts = slices.DeleteFunc(parts, func(s string) bool { return s == "" })
	return strings.Join(parts, " · ")
}

// stageWord is the shop's word for a stage that was reached.
func stageWord(r restoration.Route, key string) string {
	if key == "" {
		return ui.LookWord(restoration.LookBare)
	}
	if s, ok := r.Stage(key); ok {
		return s.Name
	}
	return key
}

// keep filters rows by the address; unknown filters choose nothing away.
func keepRows(rows []pieceRow, q url.Values) []pieceRow {
	return slices.DeleteFunc(slices.Clone(rows), func(row pieceRow) bool { return !row.matches(q) })
}

func (row pieceRow) matches(q url.Values) bool {
	set := row.Set
	if set == "" {
		set = noSet
	}
	person := ""
	if row.PersonID != 0 {
		person = formatID(row.PersonID)
	}
	return picked(q, filterStage, row.stageKey) && row.hasToDo(q.Get(filterTodo)) && picked(q, filterSet, set) &&
		picked(q, filterZone, row.zoneKey) && picked(q, filterPerson, person) && row.stands(q.Get(filterNow))
}

// hoursOfStage leaves of each row's hours only those of one stage, and only the rows
// that have some. They add up to the stage's line in the table of hours, save for what
// was logged on pieces that are off the list.
func hoursOfStage(rows []pieceRow, stage string) []pieceRow {
	var out []pieceRow
	for _, row := range rows {
		row.Planned, row.Logged, row.Left = 0, 0, 0
		for _, s := range row.stages {
			if s.key == stage {
				row.Planned += s.planned
				row.Logged += s.logged
				row.Left += s.left
			}
		}
		if row.Planned+row.Logged+row.Left > 0 {
			out = append(out, row)
		}
	}
	return out
}

func (row pieceRow) hasToDo(stage string) bool {
	return stage == "" || slices.ContainsFunc(row.todo, func(s todoStage) bool { return s.key == stage })
}

// leftAt is what the piece has left at a stage.
func (row pieceRow) leftAt(stage string) restoration.Minutes {
	var left restoration.Minutes
	for _, s := range row.todo {
		if s.key == stage {
			left += s.left
		}
	}
	return left
}

// stands tells whether the row belongs under the word. What is in hand can be
// worked; rework stands wherever the piece's next step does.
func (row pieceRow) stands(word string) bool {
	switch word {
	case "":
		return true
	case nowWorkable:
		return row.Now == nowWorkable || row.Now == nowInHand
	case nowRework:
		return row.Rework > 0
	}
	return row.Now == word
}

func picked(q url.Values, key, value string) bool { return q.Get(key) == "" || q.Get(key) == value }

// sortRows sorts by the column that the address names; without one the pieces stay
// in the order of the interior plan, which also breaks ties.
func sortRows(rows []pieceRow, key string) {
	column, descending := strings.CutPrefix(key, "-")
	by, ok := rowOrders[column]
	if !ok {
		by, descending = func(a, b pieceRow) int { return 0 }, false
	}
	slices.SortStableFunc(rows, func(a, b pieceRow) int {
		n := by(a, b)
		if descending {
			n = -n
		}
		return cmp.Or(n, cmp.Compare(a.order, b.order))
	})
}

// rowOrders are the columns by which the table sorts.
var rowOrders = map[string]func(a, b pieceRow) int{
	"piece":   func(a, b pieceRow) int { return compareWords(a.Name, b.Name) },
	"zone":    func(a, b pieceRow) int { return cmp.Compare(a.order, b.order) },
	"set":     func(a, b pieceRow) int { return compareWords(a.Set, b.Set) },
	"stage":   func(a, b pieceRow) int { return cmp.Compare(a.stageAt, b.stageAt) },
	"now":     func(a, b pieceRow) int { return cmp.Or(cmp.Compare(a.Now, b.Now), compareWords(a.Words, b.Words)) },
	"who":     func(a, b pieceRow) int { return compareWords(a.Who, b.Who) },
	"planned": func(a, b pieceRow) int { return cmp.Compare(a.Planned, b.Planned) },
	"logged":  func(a, b pieceRow) int { return cmp.Compare(a.Logged, b.Logged) },
	"left":    func(a, b pieceRow) int { return cmp.Compare(a.Left, b.Left) },
}

func compareWords(a, b string) int { return strings.Compare(strings.ToLower(a), strings.ToLower(b)) }
