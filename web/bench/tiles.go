package bench

import (
	"fmt"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// listView is one of the three lists.
type listView struct {
	Page    ui.PageProps
	Nav     []ui.NavItem // the lists with their counts
	Undo    *ui.UndoProps
	Schemes []ui.Scheme
	Chips   []chipRow
	Groups  []tileGroup
	Empty   *ui.EmptyProps
}

type tileGroup struct {
	Title string // "" for the first
	Tiles []tile
	More  string // that there are others, and how to come by them; "" all are drawn
}

// tile is one piece in a list; the whole of it is the target.
type tile struct {
	Name, Car, Place, Href string
	Scheme                 ui.Scheme
	Now, Next              restoration.Look
	NowWord, NextWord      string
	Why                    string // why it comes here, or what it waits for
	Alert                  bool   // the why can't wait
	Hours                  string
	Survey                 bool   // of a car that is still in survey
	Who                    string // who has it in hand
}

// buildList draws the parts of a list; the page around it is filled in later. A piece
// that work doesn't hold was finished a moment ago.
func buildList(in listInput, drawn []listPart, work []restoration.Work) listView {
	byID := make(map[restoration.ID]restoration.Work, len(work))
	for _, w := range work {
		byID[w.Piece.ID] = w
	}
	var v listView
	for _, p := range drawn {
		g := tileGroup{Title: p.Title, More: in.moreWords(p.More)}
		for _, item := range p.Items {
			if w, ok := byID[item.PieceID]; ok {
				g.Tiles = append(g.Tiles, in.tile(item, w))
				v.Schemes = append(v.Schemes, scheme(w.Car))
			}
		}
		if len(g.Tiles) > 0 {
			v.Groups = append(v.Groups, g)
		}
	}
	if len(v.Groups) == 0 {
		v.Empty = emptyList(in)
	}
	return v
}

func (in listInput) moreWords(n int) string {
	switch {
	case n == 0:
		return ""
	case in.oneCar():
		return fmt.Sprintf("And %d more. Find a piece by its label.", n)
	}
	return fmt.Sprintf("And %d more. Choose a car.", n)
}

// tileOf draws a piece with something left to do, without the why.
func tileOf(w restoration.Work) tile {
	return tile{
		Name: w.Piece.Title(), Car: w.Car.WorkOrder + " · " + w.Car.Name, Place: w.Piece.LiesAt,
		Href:   piecePath(w.Piece.ID),
		Scheme: scheme(w.Car),
		Now:    w.Piece.Sum.Look, Next: w.Stage.Look,
		NowWord: ui.LookWord(w.Piece.Sum.Look), NextWord: w.Stage.Name,
		Hours: ui.Hours(int(w.StepLeft)), Survey: w.Car.State == restoration.CarSurvey,
	}
}

func (in listInput) tile(item restoration.ListItem, w restoration.Work) tile {
	t := tileOf(w)
	switch {
	case in.Which == "ready" && item.HandBy == 0:
		t.Why = item.Reason(in.Now)
		t.Alert = !item.LateFrom.IsZero() && item.LateFrom.Sub(in.Now) < 24*time.Hour
	case in.Which != "waiting":
		t.Why = "in hand since " + ui.Clock(item.HandSince, in.Now, in.Loc)
		if waits := in.Coats[item.PieceID]; waits != "" {
			t.Why += ", " + waits
		}
		if item.HandBy != in.Person {
			t.Who = w.HandName
		}
	case item.Waiting(in.Now):
		t.Why = notBefore(item.GateFrom, in.Now, in.Loc)
	case w.Piece.Holding != nil:
		t.Why = "held: " + w.Piece.Holding.Reason
	default:
		t.Why = "held: the car is on hold"
	}
	return t
}

// notBefore says the hour before which a piece hardens.
func notBefore(t, now time.Time, loc *time.Location) string {
	return "not before " + ui.Clock(t, now, loc) + ", " + ui.Until(t, now, loc)
}

func scheme(c restoration.Car) ui.Scheme { return ui.NewScheme(c.Ground, c.Grain) }

// emptyList says what to do when there is nothing.
func emptyList(in listInput) *ui.EmptyProps {
	switch {
	case in.Stage != "" && len(in.Keys) > 0:
		return &ui.EmptyProps{Text: "Nothing here at that stage.", Next: "Look at all stages.", Href: in.href(in.Car, ""), Link: "All stages"}
	case in.Car != "" && len(in.Keys) > 0:
		return &ui.EmptyProps{Text: "Nothing here for " + in.Car + ".", Next: "Look at all cars.", Href: listPaths[in.Which], Link: "All cars"}
	case in.Which == "waiting":
		return &ui.EmptyProps{Text: "Nothing waits.", Next: "Nothing hardens and nothing is on hold.", Href: "/bench", Link: "Ready now"}
	case in.Which == "hand":
		return &ui.EmptyProps{Text: "Nothing is in hand.", Next: "Choose a piece and touch Start.", Href: "/bench", Link: "Ready now"}
	case len(in.Keys) > 0:
		return &ui.EmptyProps{Text: "Nothing is ready now.", Next: "Look what waits, and until when.", Href: "/bench/waiting", Link: "Waiting"}
	}
	return &ui.EmptyProps{Text: "No piece has anything left to do.", Next: "Ask the owner to take in the next car."}
}
