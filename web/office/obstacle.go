package office

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// obstacle is something that keeps a car in the shop, and what would help.
type obstacle struct {
	Text string
	Help string
	Href string // where it can be looked at; "" for none
}

// maxNamed is how many pieces or entries of a sort are named one by one.
const maxNamed = 3

// obstacles names what holds a car, worst first: the car itself on hold, steps that
// are free and not begun, pieces sent back, pieces on hold, refused entries, nothing but waits, a shut recoat window; then
// the stage with most of the work, and the piece that is furthest behind.
func (v pieceView) obstacles(pieces []restoration.Piece, refused []restoration.Entry, roll restoration.Roll) []obstacle {
	if v.Car.State == restoration.CarDelivered || roll.Left == 0 {
		return nil
	}
	var out []obstacle
	if v.Car.State == restoration.CarOnHold {
		out = append(out, obstacle{
			Text: fmt.Sprintf("The car is on hold since %s: %s.", ui.Day(v.Car.HeldSince, v.Loc), v.Car.HoldReason),
			Help: hoursOf(roll.Left) + " stand still until it is released.",
		})
	}
	if free := restoration.FreeNow(v.Car.State, pieces, v.Now); free > 0 {
		out = append(out, obstacle{
			Text: hoursOf(free) + " can be begun at once.",
			Help: "It helps most: nothing has to be settled first.",
			Href: withQuery(carPath(v.Car.WorkOrder), filterNow, nowWorkable) + "#pieces",
		})
	}
	out = append(out, v.sentBack(pieces)...)
	out = append(out, v.heldPieces(pieces)...)
	out = append(out, v.refusedEntries(refused)...)
	out = append(out, v.onlyWaits(pieces, roll)...)
	out = append(out, v.shutWindows(pieces)...)
	out = append(out, v.heaviestStage(pieces, roll)...)
	return append(out, v.furthestBehind(pieces)...)
}

// sentBack names the pieces with rework left, most of it first.
func (v pieceView) sentBack(pieces []restoration.Piece) []obstacle {
	rows := slices.DeleteFunc(v.rows(pieces), func(row pieceRow) bool { return row.Rework == 0 })
	slices.SortStableFunc(rows, func(a, b pieceRow) int { return cmp.Compare(b.Rework, a.Rework) })
	var out []obstacle
	for _, row := range rows[:min(len(rows), maxNamed)] {
		out = append(out, obstacle{
			Text: fmt.Sprintf("%s was sent back: %s of rework left.", upperFirst(row.Title), hoursOf(row.Rework)),
			Help: fmt.Sprintf("Next is %s: %s.", lowerFirst(row.Next), row.Words),
			Href: row.Href,
		})
	}
	if more := len(rows) - maxNamed; more > 0 {
		out = append(out, obstacle{
			Text: ui.Count(more, "more piece was", "more pieces were") + " sent back.",
			Href: withQuery(carPath(v.Car.WorkOrder), filterNow, nowRework) + "#pieces",
		})
	}
	return out
}

// refusedEntries names what was entered, refused and not settled yet. What went through
// since holds nothing: it only waits in what needs a look until it is settled.
func (v pieceView) refusedEntries(refused []restoration.Entry) []obstacle {
	refused = slices.DeleteFunc(slices.Clone(refused), func(e restoration.Entry) bool { return e.Through })
	var out []obstacle
	for _, e := range refused[:min(len(refused), maxNamed)] {
		line := reader{v.Now, v.Loc, v.Units}.line(e)
		x := obstacle{Text: line.Words, Help: line.Allowed, Href: line.Href}
		if line.Piece != "" {
			x.Text = upperFirst(line.Piece) + ": " + line.Words
		}
		out = append(out, x)
	}
	if more := len(refused) - maxNamed; more > 0 {
		out = append(out, obstacle{Text: ui.Count(more, "more entry was", "more entries were") + " refused.", Href: "/office?all=1#look"})
	}
	return out
}

func (v pieceView) heldPieces(pieces []restoration.Piece) []obstacle {
	held := slices.DeleteFunc(slices.Clone(pieces), func(p restoration.Piece) bool {
		return p.Holding == nil || p.Sum.NextStep.IsZero()
	})
	slices.SortStableFunc(held, func(a, b restoration.Piece) int {
		return cmp.Or(a.Holding.Since.Compare(b.Holding.Since), cmp.Compare(b.Sum.Left, a.Sum.Left))
	})
	var out []obstacle
	for _, p := range held[:min(len(held), maxNamed)] {
		out = append(out, obstacle{
			Text: fmt.Sprintf("%s is held for %s: %s.", upperFirst(p.Title()), daysSince(p.Holding.Since, v.Now), p.Holding.Reason),
			Help: hoursOf(p.Sum.Left) + " can't be worked until it is released.",
			Href: piecePath(p.ID),
		})
	}
	if more := len(held) - maxNamed; more > 0 {
		out = append(out, obstacle{
			Text: ui.Count(more, "more piece is", "more pieces are") + " held.",
			Href: withQuery(carPath(v.Car.WorkOrder), filterNow, nowHeld) + "#pieces",
		})
	}
	return out
}

// onlyWaits speaks when there is work left and none of it can be done now.
func (v pieceView) onlyWaits(pieces []restoration.Piece, roll restoration.Roll) []obstacle {
	if roll.Workable > 0 || roll.Waiting == 0 {
		return nil
	}
	first := slices.MinFunc(pieces, func(a, b restoration.Piece) int { return v.gate(a).Compare(v.gate(b)) })
	return []obstacle{{
		Text: fmt.Sprintf("Nothing can be worked now: %s lie on pieces that wait for paint to harden.", hoursOf(roll.Waiting)),
		Help: fmt.Sprintf("First again is %s, %s (%s).", first.Title(),
			ui.Clock(first.Sum.GateFrom, v.Now, v.Loc), ui.Span(first.Sum.GateFrom, v.Now)),
		Href: piecePath(first.ID),
	}}
}

// gate is the hour at which a waiting piece may go on; far away for one that doesn't wait.
func (v pieceView) gate(p restoration.Piece) time.Time {
	if p.Footing(v.Car.State, v.Now) != restoration.FootWaiting {
		return time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	return p.Sum.GateFrom
}

func (v pieceView) shutWindows(pieces []restoration.Piece) []obstacle {
	var shut []restoration.Piece
	for _, p := range pieces {
		if p.Holding == nil && !p.Sum.LateFrom.IsZero() && p.Sum.LateFrom.Before(v.Now) {
			shut = append(shut, p)
		}
	}
	if len(shut) == 0 {
		return nil
	}
	out := obstacle{
		Text: fmt.Sprintf("The recoat window of %s is shut.", shut[0].Title()),
		Help: upperFirst(shut[0].Sum.WindowWords(v.Now)) + ".",
		Href: piecePath(shut[0].ID),
	}
	if len(shut) > 1 {
		out.Text = fmt.Sprintf("The recoat windows of %d pieces are shut, first that of %s.", len(shut), shut[0].Title())
	}
	return []obstacle{out}
}

func (v pieceView) heaviestStage(pieces []restoration.Piece, roll restoration.Roll) []obstacle {
	if len(roll.Stages) == 0 {
		return nil
	}
	top := slices.MaxFunc(roll.Stages, func(a, b restoration.StageRoll) int { return cmp.Compare(a.Left, b.Left) })
	if top.Left == 0 {
		return nil
	}
	here, workable := 0, 0
	for _, p := range pieces {
		if p.Sum.NextStage != top.Stage {
			continue
		}
		here++
		if p.Footing(v.Car.State, v.Now) == restoration.FootWorkable {
			workable++
		}
	}
	help := "No piece has come that far yet: the stages before it come first."
	if here > 0 {
		help = fmt.Sprintf("%s next there; %d of these can be worked now.", ui.Count(here, "piece is", "pieces are"), workable)
	}
	return []obstacle{{
		Text: fmt.Sprintf("Most of the work lies in %s: %s on %s.", lowerFirst(top.Name), hoursOf(top.Left), ui.Count(top.Pieces, "piece", "pieces")),
		Help: help,
		Href: withQuery(carPath(v.Car.WorkOrder), filterTodo, top.Stage) + "#pieces",
	}}
}

// reachedAt is how far along its route a piece has come; −1 as it came in.
func (v pieceView) reachedAt(p restoration.Piece) int {
	return v.Routes[p.RouteID].Position(p.Sum.Reached)
}

// furthestBehind names the piece at the earliest stage, of several the one with most
// hours left. Where all have come equally far none is behind.
func (v pieceView) furthestBehind(pieces []restoration.Piece) []obstacle {
	open := slices.DeleteFunc(slices.Clone(pieces), func(p restoration.Piece) bool { return p.Sum.NextStep.IsZero() })
	if len(open) == 0 {
		return nil
	}
	last := slices.MinFunc(open, func(a, b restoration.Piece) int {
		return cmp.Or(cmp.Compare(v.reachedAt(a), v.reachedAt(b)), cmp.Compare(b.Sum.Left, a.Sum.Left))
	})
	if last.Holding != nil {
		return nil // it is named among the held ones
	}
	if !slices.ContainsFunc(pieces, func(p restoration.Piece) bool { return v.reachedAt(p) > v.reachedAt(last) }) {
		return nil // no piece is ahead of it
	}
	row := v.row(last)
	return []obstacle{{
		Text: fmt.Sprintf("%s is furthest behind: %s left, %s.", upperFirst(last.Title()), hoursOf(last.Sum.Left), lowerFirst(row.Reached)),
		Help: fmt.Sprintf("Next is %s: %s.", lowerFirst(row.Next), row.Words),
		Href: row.Href,
	}}
}

// hoursOf is minutes as decimal hours: "12.5 h".
func hoursOf(m restoration.Minutes) string { return ui.Hours(int(m)) }

// daysSince is how long something lasts, in days where it is more than one.
func daysSince(since, now time.Time) string {
	switch days := int(now.Sub(since).Hours() / 24); {
	case days >= 1:
		return ui.Count(days, "day", "days")
	default:
		return "less than a day"
	}
}
