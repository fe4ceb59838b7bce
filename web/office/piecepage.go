package office

import (
	"slices"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// pieceData is what a piece's page is made from.
type pieceData struct {
	Car      restoration.Car
	Piece    restoration.Piece
	Route    restoration.Route
	History  []restoration.Entry
	Settings restoration.Settings
	Now      time.Time
	Film     filmData
	Photos   photoData
	Planning restoration.ID // the step whose planned hours are to be typed; zero none
}

// piecePage is one piece as the owner sees it.
type piecePage struct {
	Page    ui.PageProps
	Path    string
	CarPath string
	CarName string
	Scheme  ui.Scheme
	Row     pieceRow
	Facts   []ui.Fact
	Note    string
	Steps   []stepLine
	Sum     stepSum
	Next    *nextStep // nil when finished, removed or not in the shop
	Plan    *stepLine // the step whose planned hours are typed
	Back    []ui.Option
	Defects []ui.Option
	Held    bool
	Removed time.Time
	Now     time.Time
	Loc     *time.Location
	History []historyLine
	Older   string
	Film    filmPanel
	Photos  photoPanel
	Form    *form // of an entry that could not be made
}

// stepLine is one step of one pass.
type stepLine struct {
	ID          string
	Look        restoration.Look
	Stage       string
	Pass        int
	State       string
	Rework      bool
	Old         bool // a later pass has taken its place
	Planned     restoration.Estimate
	Counts      bool // its planned hours are part of what they come to together
	Overtyped   bool
	Logged      restoration.Minutes
	Left        restoration.Minutes
	Said        bool // what is left is the technician's own word
	Least       bool // what is left is more than was planned: the least of a step that is not ticked
	Who         string
	When        time.Time
	Touch, Late time.Time
	Reason      string
	Untick      bool   // may be opened again
	PlanHref    string // where its planned hours are typed; "" when they stand
	EntryID     string // of the form that unticks it
}

// stepSum is what the steps add up to.
type stepSum struct {
	Planned      restoration.Estimate
	Of           string // what of it is rework; "" nothing
	Logged, Left restoration.Minutes
}

// nextStep is the step whose turn it is, with what its tick asks for.
type nextStep struct {
	ID       string
	Stage    string
	Planned  restoration.Minutes
	Checks   []ui.CheckboxProps
	Wait     string // "touch again Fri 27 Mar 2026, 07:40 (in 15 h)"; "" when it may begin
	Scuff    bool   // the recoat window is shut
	Cautions []restoration.Caution
	Purpose  string
	Film     restoration.Facts // what the film asks for and warns of, were it ticked now
	Blocked  string            // why nothing can be ticked though it is its turn: a hold
}

func newPiecePage(d pieceData, page ui.PageProps, f *form) piecePage {
	loc := d.Settings.Location()
	v := pieceView{Car: d.Car, Routes: map[int64]restoration.Route{d.Route.ID: d.Route}, Now: d.Now, Loc: loc}
	page.Title = d.Piece.Title()
	page.Eyebrow = joinWords("Work order "+d.Car.WorkOrder, d.Car.Name, where(d.Piece.Details))
	path := piecePath(d.Piece.ID)
	past := d.History[:min(len(d.History), historyRows)]
	p := piecePage{
		Page: page, Path: path, CarPath: carPath(d.Car.WorkOrder), CarName: d.Car.Name,
		Scheme: ui.NewScheme(d.Car.Ground, d.Car.Grain), Row: v.row(d.Piece),
		Facts: pieceFacts(d), Note: d.Piece.Note, Held: d.Piece.Holding != nil, Removed: d.Piece.Removed,
		Defects: defectOptions(d.Piece, d.Route), Back: backOptions(d.Piece, d.Route), Now: d.Now, Loc: loc,
		History: reader{d.Now, loc, d.Settings.Units}.lines(past, false), Older: olderEntries(past, path+"/history"), Film: newFilmPanel(d), Photos: newPhotoPanel(d, f), Form: f,
	}
	p.Sum = sumSteps(d.Piece)
	for _, s := range d.Piece.Steps {
		if !s.Current() && s.Logged == 0 && s.DoneAt.IsZero() {
			continue // never begun: it stands again in the pass that took its place
		}
		line := stepLineOf(s, d.Piece, d.Route)
		p.Steps = append(p.Steps, line)
		if s.ID == d.Planning && line.PlanHref != "" {
			p.Plan = &line
		}
	}
	if p.Next = v.next(d.Piece, d.Route); p.Next != nil {
		p.Next.Film = tickFacts(d)
		p.Next.Cautions = nextCautions(d)
	}
	return p
}

// sumSteps adds up what the rows of the table show.
func sumSteps(p restoration.Piece) stepSum {
	var sum stepSum
	for _, s := range p.Steps {
		sum.Logged += s.Logged
		sum.Left += s.Left
		if p.InPlan(s) {
			sum.Planned = sum.Planned.Plus(s.Planned)
		}
	}
	split := p.PlanSum()
	if split.Rework == 0 && split.Since == 0 {
		return sum
	}
	parts := []string{"First plan " + ui.Num(split.First.Hours(), 2)}
	if split.Rework > 0 {
		parts = append(parts, "rework "+ui.Num(split.Rework.Hours(), 2))
	}
	if split.Since != 0 {
		parts = append(parts, "changed since "+ui.Num(split.Since.Hours(), 2))
	}
	sum.Of = joinWords(parts...)
	return sum
}

func stepLineOf(s restoration.Step, p restoration.Piece, r restoration.Route) stepLine {
	line := stepLine{
		ID: s.ID.String(), Stage: s.Stage, Look: restoration.LookOther, Pass: s.Pass, State: string(s.State), Rework: s.Rework,
		Old: !s.Current(), Planned: s.Planned, Counts: p.InPlan(s), Overtyped: s.Overtyped, Logged: s.Logged, Left: s.Left,
		Said: s.StillToGo != nil && s.Left > 0, Least: s.StillToGo == nil && s.Left > s.Planned.Likely, Late: s.TooLate, Reason: s.Reason,
		Untick: p.MayUntick(s), EntryID: newID().String(),
	}
	if stage, ok := r.Stage(s.Stage); ok {
		line.Stage, line.Look = stage.Name, stage.Look
	}
	switch {
	case s.State == restoration.StepInHand:
		line.Who, line.When = s.HandName, s.HandSince
	case !s.DoneAt.IsZero():
		line.Who, line.When = s.DoneName, s.DoneAt
	}
	if s.TouchAgain.After(s.DoneAt) { // else an earlier step asked for it, and it was over by then
		line.Touch = s.TouchAgain
	}
	if s.Current() && !s.Settled() && p.Removed.IsZero() {
		line.PlanHref = withQuery(piecePath(p.ID), "plan", s.ID.String()) + "#plan"
	}
	return line
}

// next is the step whose turn it is.
func (v pieceView) next(p restoration.Piece, r restoration.Route) *nextStep {
	stage, ok := r.Stage(p.Sum.NextStage)
	if !ok || !p.Removed.IsZero() || v.Car.State == restoration.CarDelivered {
		return nil
	}
	n := &nextStep{ID: p.Sum.NextStep.String(), Stage: stage.Name, Purpose: stage.Purpose}
	for _, s := range p.Steps {
		if s.ID == p.Sum.NextStep {
			n.Planned = s.Left
		}
	}
	for _, c := range stage.Checks {
		n.Checks = append(n.Checks, ui.CheckboxProps{Name: "checks", Value: c.Key, Label: c.Text})
	}
	if p.Sum.GateFrom.After(v.Now) {
		n.Wait = ui.When(p.Sum.GateFrom, v.Loc) + " (" + ui.Span(p.Sum.GateFrom, v.Now) + ")"
	}
	if !p.Sum.LateFrom.IsZero() && p.Sum.LateFrom.Before(v.Now) {
		n.Scuff = true
		label := "The surface is scuffed: its recoat window is shut"
		if p.Sum.SentBack {
			label = "The surface is scuffed and clean since it was sent back"
		}
		n.Checks = append(n.Checks, ui.CheckboxProps{Name: "checks", Value: restoration.CheckScuffed, Label: label})
	}
	switch {
	case p.Holding != nil:
		n.Blocked = "The piece is on hold: " + p.Holding.Reason + ". Release it first."
	case v.Car.State == restoration.CarOnHold:
		n.Blocked = "The car is on hold: " + v.Car.HoldReason + ". Release it first."
	}
	return n
}

// pieceFacts are the particulars of a piece that have something to say.
func pieceFacts(d pieceData) []ui.Fact {
	p := d.Piece
	us := d.Settings.Units == restoration.US
	facts := []ui.Fact{
		{Term: "Code", Text: p.Label},
		{Term: "Lies at", Text: p.LiesAt},
		{Term: "Set", Text: p.Set},
		{Term: "Scheme", Text: schemeWords(p.Details, d.Car)},
		{Term: "Visible face, both faces", Text: ui.Area(p.AreaM2, us) + ", " + ui.Area(p.BothM2, us)},
		{Term: "Size, metal", Text: string(p.Size) + ", " + p.Metal},
		{Term: "Worked", Text: mountingWord(p.Mounting)},
		{Term: "Condition", Text: gradeWords(p.Details)},
		{Term: "Route", Text: d.Route.Name},
	}
	if len(p.Faults) > 0 {
		facts = append(facts, ui.Fact{Term: "Faults", Text: restoration.FormatFaults(p.Faults)})
	}
	return facts
}

func schemeWords(d restoration.Details, c restoration.Car) string {
	words := d.Scheme
	if words == "" {
		words = "the car's own"
		if c.Scheme != "" {
			words += ", " + c.Scheme
		}
	}
	if d.SchemeReason != "" {
		words += " (" + d.SchemeReason + ")"
	}
	return words
}

func mountingWord(m restoration.Mounting) string {
	if m == restoration.MountFixed {
		return "fixed in the car"
	}
	return "on the bench"
}

func gradeWords(d restoration.Details) string {
	word := func(g int) string {
		if g == 0 {
			return "not graded"
		}
		return "grade " + formatID(int64(g))
	}
	if d.SteelGrade > 0 {
		return word(d.Grade) + " at the survey, " + word(d.SteelGrade) + " on bare steel"
	}
	return word(d.Grade)
}

// defectOptions begin with what is usually found at the stage that was reached or
// at the next one.
func defectOptions(p restoration.Piece, r restoration.Route) []ui.Option {
	out := []ui.Option{{Word: "choose what went wrong"}}
	next, _ := r.Stage(p.Sum.NextStage)
	here, others := restoration.DefectsAt(p.Sum.Look, next.Look)
	for _, d := range slices.Concat(here, others) {
		word := d.Name + ": " + d.Sign
		if stage, ok := r.Stage(d.BackTo(p, r)); ok {
			word += " (to " + lowerFirst(stage.Name) + ", " + ui.HoursLost(p, r, d.Key, stage.Key) + ")"
		}
		out = append(out, ui.Option{Value: d.Key, Word: word})
	}
	return out
}

// backOptions are the stages to which a piece may be sent back. The first leaves it
// to the table of defects; the others say what is to be done again.
func backOptions(p restoration.Piece, r restoration.Route) []ui.Option {
	stages := restoration.BackStages(p, r)
	if len(stages) == 0 {
		return nil
	}
	out := []ui.Option{{Word: "as usual for the defect"}}
	for _, stage := range stages {
		out = append(out, ui.Option{Value: stage.Key, Word: stage.Name + ", " + ui.HoursLost(p, r, restoration.DefectOther, stage.Key)})
	}
	return out
}
