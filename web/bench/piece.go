package bench

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// pieceInput is what a piece's page is built from. The piece has its steps, with the
// names of who has them in hand and who did them.
type pieceInput struct {
	Piece  restoration.Piece
	Car    restoration.Car
	Route  restoration.Route
	Others []restoration.Piece // of the same car
	Ledger []restoration.Entry // of the piece, newest first
	Noted  *restoration.Entry  // with the last note; nil: there is none
	Actor  restoration.Actor
	Now    time.Time
	Loc    *time.Location
	Units  restoration.Units
	NewID  func() string       // of the entries that the page may send
	Film   *filmInput          // nil: the page says nothing of the finish
	Timers []restoration.Timer // the person's own
	Limit  restoration.Minutes // from which a timer counts as forgotten
	Looks  bool                // the person only looks: cautions needn't be read first
}

// mode says what stands at the bottom of the page.
type mode string

const (
	modeOpen     mode = "open"     // may be started or ticked
	modeMine     mode = "mine"     // in hand of who looks: may be ticked
	modeOthers   mode = "others"   // in hand of somebody else
	modeWaiting  mode = "waiting"  // hardens; says until when
	modeHeld     mode = "held"     // the piece is on hold: may be released
	modeStopped  mode = "stopped"  // something else is in the way; says what
	modeFinished mode = "finished" // nothing is left to do
)

// pieceView is the page of one piece.
type pieceView struct {
	Page     ui.PageProps
	Path     string      // of the page; forms post below it
	Piece    string      // its id
	Now      string      // RFC 3339, as the page is drawn
	Place    string      // where it lies
	Told     []ui.Notice // what others left to be known
	Undo     *ui.UndoProps
	Scheme   ui.Scheme
	Mode     mode
	Why      string // what is in the way, or until when it waits
	HowSure  string
	Next     *stepView
	Cautions []restoration.Caution
	Hints    []ui.Notice // pointed out before, not after
	History  []historyLine
	Ledger   []ledgerLine
	IDs      map[string]string // a new entry's id for each form on the page
	CanBack  bool
	Clock    *ui.TimerProps // of the person, on the next step; nil: none
	Sheet    bool           // the sheet that saves the step as done is open from the start
	Film     *filmView
	Looks    bool // the person only looks
	Steel    bool // the condition may be graded on bare steel
	Grade    int  // on bare steel; 0 not yet
}

// stepView is the recipe of the step that comes next.
type stepView struct {
	ID               string
	Name, Purpose    string
	Now, Next        restoration.Look
	NowWord          string
	Planned, Usual   string // the likeliest hours; low to high
	Logged           string
	Need, Rest       string // what it waits for first, and what it asks for afterwards
	Booth            bool
	Checks           []checkLine
	Hours            ui.StepperProps
	HandBy, Started  string
	Pass             int
	SentBackFor      string
	StillToGoMinutes int
}

func piecePath(id restoration.ID) string { return "/bench/pieces/" + id.String() }

// buildPiece sorts out what a piece's page shows; the shell is filled in later.
func buildPiece(in pieceInput) pieceView {
	v := pieceView{
		Path: piecePath(in.Piece.ID), Piece: in.Piece.ID.String(), Now: in.Now.UTC().Format(time.RFC3339), Place: in.Piece.LiesAt, Scheme: scheme(in.Car), IDs: map[string]string{},
		Looks: in.Looks, Told: in.told(), CanBack: slices.ContainsFunc(in.Piece.Steps, func(s restoration.Step) bool { return s.State == restoration.StepDone }),
		History: history(in), Ledger: ledger(in), Steel: in.Piece.ShowsSteel(in.Route), Grade: in.Piece.SteelGrade,
	}
	for _, act := range []string{"start", "pause", "tick", "release"} {
		v.IDs[act] = in.NewID()
	}
	step, ok := nextStep(in.Piece)
	stage, _ := in.Route.Stage(step.Stage)
	v.Film = buildFilm(in, step, stage)
	if !ok {
		v.Mode = modeFinished
		return v
	}
	v.Cautions = in.cautions(step, stage)
	v.Hints = hints(in, stage)
	v.Next = buildStep(in, step, stage)
	if t, ok := timerOn(in.Timers, step.ID); ok {
		clock := timerProps(t, in.Now)
		v.Clock = &clock
	}
	v.Mode, v.Why, v.HowSure = standing(in, step)
	if in.Film != nil && v.Mode == modeWaiting {
		v.HowSure = cmp.Or(in.sprayedWait(step), v.HowSure)
	}
	return v
}

func nextStep(p restoration.Piece) (restoration.Step, bool) {
	i := slices.IndexFunc(p.Steps, func(s restoration.Step) bool { return s.ID == p.Sum.NextStep })
	if i < 0 || p.Sum.NextStep.IsZero() {
		return restoration.Step{}, false
	}
	return p.Steps[i], true
}

// about names the piece, its car and its next stage.
func (in pieceInput) about() ui.About {
	a := ui.About{Title: in.Piece.Title(), Car: in.Car.WorkOrder}
	if step, ok := nextStep(in.Piece); ok {
		stage, _ := in.Route.Stage(step.Stage)
		a.Stage = cmp.Or(stage.Name, step.Stage)
	}
	return a
}

// standing asks the rules what would happen if the step were started now.
func standing(in pieceInput, step restoration.Step) (m mode, why, howSure string) {
	out := try(in, restoration.Event{Kind: restoration.KindStart, StepID: step.ID,
		Payload: restoration.Payload{Checks: []string{restoration.CheckScuffed}}})
	switch {
	case out.Result == restoration.Refused && !out.AllowedFrom.IsZero():
		return modeWaiting, notBeforeLong(out.AllowedFrom, in.Now, in.Loc), "By standard times at " + restoration.RoomWords(in.Units) + ". A cold night takes longer."
	case out.Result == restoration.Refused && in.Piece.Holding != nil && in.Car.State != restoration.CarOnHold:
		return modeHeld, "On hold: " + in.Piece.Holding.Reason, ""
	case out.Result == restoration.Refused:
		return modeStopped, out.Reason, ""
	case step.State == restoration.StepInHand && step.HandBy == in.Actor.PersonID:
		return modeMine, "", ""
	case step.State == restoration.StepInHand:
		return modeOthers, step.HandName + " has it in hand", ""
	}
	return modeOpen, "", ""
}

// try applies an event to the piece as it stands and gives the answer only.
func try(in pieceInput, e restoration.Event) restoration.Outcome {
	e.PersonID, e.DeviceID, e.PieceID, e.At, e.Arrived = in.Actor.PersonID, in.Actor.DeviceID, in.Piece.ID, in.Now, in.Now
	_, out := restoration.Apply(in.Car.State, in.Piece, in.Route, e)
	return out
}

// notBeforeLong says the hour as a person would: "Not before tomorrow 07:40".
func notBeforeLong(t, now time.Time, loc *time.Location) string {
	clock := ui.Clock(t, now, loc)
	if t.In(loc).Format(time.DateOnly) == now.In(loc).AddDate(0, 0, 1).Format(time.DateOnly) {
		clock = "tomorrow " + t.In(loc).Format("15:04")
	}
	return "Not before " + clock
}

func buildStep(in pieceInput, step restoration.Step, stage restoration.Stage) *stepView {
	s := &stepView{
		ID: step.ID.String(), Name: cmp.Or(stage.Name, step.Stage), Purpose: stage.Purpose, Booth: stage.Booth,
		Now: in.Piece.Sum.Look, Next: stage.Look, NowWord: nowWord(in),
		Planned: ui.Hours(int(step.Planned.Likely)),
		Usual:   ui.Hours(int(step.Planned.Low)) + " to " + ui.Hours(int(step.Planned.High)),
		Need:    needWords(stage.Need), Rest: restWords(stage.After), Pass: step.Pass,
		Checks: in.doubted(checks(in, stage), stage), Hours: hoursStepper(in, step),
		StillToGoMinutes: quarter(step.Left),
	}
	if step.Logged > 0 {
		s.Logged = ui.Hours(int(step.Logged))
	}
	if step.State == restoration.StepInHand {
		s.HandBy, s.Started = step.HandName, ui.Clock(step.HandSince, in.Now, in.Loc)
	}
	if step.Pass > 1 {
		s.SentBackFor = sentBackFor(in.Ledger)
	}
	return s
}

func nowWord(in pieceInput) string {
	if stage, ok := in.Route.Stage(in.Piece.Sum.Reached); ok {
		return stage.Name
	}
	return ""
}

// hoursStepper offers what the person's clock on the step shows, else what is left of the
// plan, in quarters.
func hoursStepper(in pieceInput, step restoration.Step) ui.StepperProps {
	s := ui.StepperProps{Name: "hours", Label: "Hours worked", Minutes: quarter(step.Planned.Likely - step.Logged)}
	t, ok := timerOn(in.Timers, step.ID)
	if !ok {
		return s
	}
	clock := timerProps(t, in.Now)
	s.Minutes = int(min(restoration.Minutes(clock.Minutes).Quarters(), restoration.MaxEntry))
	if clock.Runs {
		s.Started, s.Now, s.Limit = clock.Since(), clock.ServerNow(), int(in.Limit)
	}
	return s
}

// quarter rounds to the nearest quarter of an hour, one at least.
func quarter(m restoration.Minutes) int {
	return max(15, 15*int(math.Round(float64(m)/15)))
}

// needWords says what the step needs of the coats before it.
func needWords(n restoration.Need) string {
	switch n {
	case restoration.NeedRecoat:
		return "ready for the next coat"
	case restoration.NeedSand:
		return "hard enough to sand"
	case restoration.NeedPolish:
		return "hard enough to polish"
	case restoration.NeedFit:
		return "hard enough to clamp"
	}
	return "nothing"
}

// restWords lists the waits after the step.
func restWords(w restoration.Waits) string {
	var parts []string
	for _, wait := range []struct {
		word string
		m    restoration.Minutes
	}{{"next layer", w.Recoat}, {"sand", w.Sand}, {"polish", w.Polish}, {"fit", w.Fit}} {
		if wait.m > 0 {
			parts = append(parts, wait.word+" after "+wait.m.String())
		}
	}
	if w.MaxRecoat > 0 {
		parts = append(parts, "coat within "+w.MaxRecoat.String())
	}
	return strings.Join(parts, ", ")
}
