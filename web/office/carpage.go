package office

import (
	"net/url"
	"slices"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// carData is what a car's page is made from.
type carData struct {
	Car      restoration.Car
	Roll     restoration.Roll
	Pieces   []restoration.Piece
	Removed  []restoration.Piece
	Routes   map[int64]restoration.Route // of every piece
	Current  []restoration.Route         // that a piece may be given
	History  []restoration.Entry
	Settings restoration.Settings
	Refused  []restoration.Entry // not settled yet
	Dates    dates
	Now      time.Time
	Address  *url.URL
}

// carPage is a car as the owner sees it.
type carPage struct {
	Page      ui.PageProps
	Car       restoration.Car
	Path      string
	Here      string // address with its filter, for refetching
	Figures   []figure
	Strip     ui.HoursStripProps
	Promise   ui.PromiseAxisProps
	Sum       string     // hours left against the promised date; "" without one
	Tight     string     // "" unless more is left than there is time for
	NoList    bool       // it has no pieces
	Said      *ui.Notice // what was done, to stand at its part of the page; nil for none
	Obstacles []obstacle
	Scheme    ui.Scheme
	Plan      ui.PlanProps
	Stages    []stageLine
	StageSum  stageLine
	Table     pieceTable
	Findings  []findingLine
	Removed   []removedLine
	History   []historyLine
	Older     string // address of earlier entries; "" when there are none
	Acts      []carAct
	Act       *form // of what was to happen to the car; nil on a fresh page
	Bulk      bulkFields
	Form      *form // of the changes to several pieces
	Finish    FinishProps
}

// figure is one total that opens into what makes it up.
type figure struct {
	Value, Word, Href string
	Note              string
}

// stageLine is one stage in the table of hours.
type stageLine struct {
	Look                  restoration.Look
	Name, Href            string
	Parts                 string // address of the pieces that the hours lie on; "" for none
	Pieces                int
	Planned, Logged, Left restoration.Minutes
}

type findingLine struct{ Piece, Href, Text string }

type removedLine struct {
	Name, Href, Action, ID string
	When                   time.Time
	Logged                 restoration.Minutes
}

// Parts of the page at which a notice may stand; each is the id of its element.
const (
	partPieces = "pieces"
	partActs   = "acts"
)

// noList is what stands in the place of hours of a car without pieces.
const noList = "no trim list yet"

// historyRows is how many entries of the ledger a page shows.
const historyRows = 25

// newCarPage lays out a car.
func newCarPage(d carData, page ui.PageProps, bulk *form) carPage {
	loc := d.Settings.Location()
	v := pieceView{Car: d.Car, Routes: d.Routes, Now: d.Now, Loc: loc, Units: d.Settings.Units}
	rows := v.rows(d.Pieces)
	scheme := ui.NewScheme(d.Car.Ground, d.Car.Grain)
	path := carPath(d.Car.WorkOrder)
	page.Title, page.Tab = d.Car.Name, ""
	page.Eyebrow = joinWords("Work order "+d.Car.WorkOrder, d.Car.Body, forCustomer(d.Car), string(d.Car.State))
	p := carPage{
		Page: page, Car: d.Car, Path: path, Here: d.Address.RequestURI(), Scheme: scheme,
		Figures:   carFigures(d.Roll, restoration.FreeNow(d.Car.State, d.Pieces, d.Now), path, d.Now, loc),
		Strip:     hoursStrip(d.Car, d.Roll, 0, false),
		Promise:   promiseAxis(d.Car, d.Roll, d.Now, loc),
		Obstacles: v.obstacles(d.Pieces, d.Refused, d.Roll),
		NoList:    d.Roll.Pieces == 0,
		Plan:      interiorPlan(d.Car, rows, d.Pieces, scheme),
		Table:     newPieceTable(rows, d.Address, bulk),
		History:   reader{d.Now, loc, d.Settings.Units}.lines(d.History, true),
		Older:     olderEntries(d.History, path+"/history"),
		Acts:      carActs(d.Car, d.Roll),
		Bulk:      newBulkFields(d.Pieces, d.Current),
		Form:      bulk,
	}
	if n := page.Flash; n != nil && n.At != "" {
		p.Said, p.Page.Flash = n, nil
	}
	p.Stages, p.StageSum = stageLines(d.Roll, path)
	p.Sum = d.Dates.sum(d.Car, d.Roll.Left)
	// The axis itself says how late a car is.
	if d.Dates.of(d.Car) == restoration.Tight {
		p.Tight = d.Dates.words(d.Car)
	}
	for _, f := range restoration.SetCheck(d.Pieces, d.Routes) {
		p.Findings = append(p.Findings, findingLine{f.Piece, piecePath(f.PieceID), f.Text})
	}
	for _, r := range d.Removed {
		p.Removed = append(p.Removed, removed(r))
	}
	return p
}

func removed(p restoration.Piece) removedLine {
	line := removedLine{Name: p.Title(), Href: piecePath(p.ID), Action: piecePath(p.ID) + "/entries",
		ID: newID().String(), When: p.Removed}
	for _, s := range p.Steps {
		line.Logged += s.Logged
	}
	return line
}

func forCustomer(c restoration.Car) string {
	if c.Customer == "" {
		return ""
	}
	return "for " + c.Customer
}

// carFigures are the car's totals, each with the pieces behind it.
func carFigures(r restoration.Roll, free restoration.Minutes, path string, now time.Time, loc *time.Location) []figure {
	if r.Pieces == 0 {
		return nil
	}
	waits, begun := "", ""
	if r.Workable > 0 {
		begun = freeWords(free)
	}
	if !r.NextFrom.IsZero() {
		waits = "first again " + ui.Clock(r.NextFrom, now, loc)
	}
	out := []figure{
		{Value: hoursOf(r.Left), Word: "left", Href: withQuery(path, ui.SortParam, "-left") + "#pieces", Note: "of " + hoursOf(r.Planned) + " planned"},
		{Value: hoursOf(r.Workable), Word: "on pieces that can be worked now", Href: withQuery(path, filterNow, nowWorkable) + "#pieces", Note: begun},
		{Value: hoursOf(r.Waiting), Word: "on pieces that wait for paint", Href: withQuery(path, filterNow, nowWaiting) + "#pieces", Note: waits},
		{Value: hoursOf(r.Held), Word: "on held pieces", Href: withQuery(path, filterNow, nowHeld) + "#pieces"},
		{Value: ui.Percent(r.PercentDone() / 100), Word: "done", Href: withQuery(path, filterNow, nowFinished) + "#pieces", Note: finishedOf(r)},
	}
	if r.ReworkPlanned > 0 {
		out = append(out, figure{Value: hoursOf(r.ReworkLeft), Word: "of what is left is rework", Href: withQuery(path, filterNow, nowRework) + "#pieces",
			Note: hoursOf(r.ReworkLogged) + " of rework logged"})
	}
	return out
}

func finishedOf(r restoration.Roll) string {
	return ui.Count(r.Finished, "piece", "pieces") + " of " + formatID(int64(r.Pieces)) + " finished"
}

// hoursStrip is the car in hours.
func hoursStrip(c restoration.Car, r restoration.Roll, scale float64, compact bool) ui.HoursStripProps {
	strip := ui.HoursStripProps{
		Label: "Hours of " + c.WorkOrder, Scheme: ui.NewScheme(c.Ground, c.Grain),
		Done: r.Earned.Hours(), Scale: scale, Compact: compact,
	}
	for _, s := range r.Stages {
		if s.Left > 0 {
			strip.Segments = append(strip.Segments, ui.StripSegment{Look: s.Look, Label: s.Name, Hours: s.Left.Hours(), Rework: s.ReworkLeft.Hours()})
		}
	}
	return strip
}

// promiseAxis is the car's dates. One without a trim list is not late: nobody knows
// yet what is to be done.
func promiseAxis(c restoration.Car, r restoration.Roll, now time.Time, loc *time.Location) ui.PromiseAxisProps {
	return ui.PromiseAxisProps{
		Start: dayIn(c.ArrivedOn, loc), Now: now, Promised: dayIn(c.PromisedOn, loc),
		Early: dayIn(c.ExpectFrom, loc), Late: dayIn(c.ExpectTo, loc),
		Loc: loc, Done: c.State == restoration.CarDelivered || r.Pieces == 0,
	}
}

// dayIn is the midnight of a calendar day in the shop's zone; a day is kept as
// midnight UTC.
func dayIn(d time.Time, loc *time.Location) time.Time {
	if d.IsZero() {
		return d
	}
	return time.Date(d.Year(), d.Month(), d.Day(), 0, 0, 0, 0, loc)
}

func stageLines(r restoration.Roll, path string) ([]stageLine, stageLine) {
	var lines []stageLine
	for _, s := range r.Stages {
		lines = append(lines, stageLine{Look: s.Look, Name: s.Name, Pieces: s.Pieces,
			Href:    withQuery(path, filterTodo, s.Stage) + "#pieces",
			Parts:   withQuery(path, filterHours, s.Stage) + "#pieces",
			Planned: s.Planned, Logged: s.Logged, Left: s.Left})
	}
	return lines, stageLine{Name: "All stages", Parts: path + "#pieces", Pieces: r.Pieces - r.Finished, Planned: r.Planned, Logged: r.Logged, Left: r.Left}
}

// interiorPlan draws the rows in their places.
func interiorPlan(c restoration.Car, rows []pieceRow, pieces []restoration.Piece, scheme ui.Scheme) ui.PlanProps {
	plan := ui.PlanProps{Label: "Interior of " + c.WorkOrder, Scheme: scheme,
		Empty: "No pieces yet. Add them one by one below, or import a list."}
	for i, row := range rows {
		p := pieces[i]
		plan.Pieces = append(plan.Pieces, ui.PlanPiece{
			ID: row.ID, Name: row.Name, Href: row.Href, Zone: p.Zone, Side: string(p.Side), Place: p.Place,
			Order: p.Order, AreaM2: p.AreaM2, Look: row.Look, Stage: row.Reached,
			Waiting: row.Waiting, Trouble: row.Trouble, Fixed: p.Mounting == restoration.MountFixed,
		})
	}
	return plan
}

// carAct is something that may happen to the whole car, as a form.
type carAct struct {
	Kind   restoration.Kind
	Word   string
	Ask    string // label of the reason; "" asks none
	Need   bool   // the reason may not stay empty
	Hint   string
	Danger bool
}

// carActs are what the car's state allows next.
func carActs(c restoration.Car, r restoration.Roll) []carAct {
	start := carAct{Kind: restoration.KindCarStart, Word: "Close the survey, start work",
		Hint: "The first tick does it too."}
	hold := carAct{Kind: restoration.KindCarHold, Word: "Put the car on hold", Ask: "What does it wait for?", Need: true,
		Hint: "Nothing on it can be ticked until it is released."}
	release := carAct{Kind: restoration.KindCarRelease, Word: "Release the car"}
	deliver := carAct{Kind: restoration.KindCarDeliver, Word: "Deliver the car"}
	if open := r.Pieces - r.Finished; open > 0 {
		deliver.Ask, deliver.Need = "Why does it go all the same?", true
		deliver.Hint = ui.Count(open, "piece is", "pieces are") + " not finished."
	}
	switch c.State {
	case restoration.CarSurvey:
		return []carAct{start, hold, deliver}
	case restoration.CarOnHold:
		return []carAct{release, deliver}
	case restoration.CarDelivered:
		return []carAct{{Kind: restoration.KindCarReopen, Word: "Take it in again", Hint: "Its pieces and hours stand as they were."}}
	}
	return []carAct{hold, deliver}
}

// routesOf lists the ids of the routes that pieces are on.
func routesOf(pieces ...[]restoration.Piece) []int64 {
	var ids []int64
	for _, list := range pieces {
		for _, p := range list {
			if !slices.Contains(ids, p.RouteID) {
				ids = append(ids, p.RouteID)
			}
		}
	}
	return ids
}
