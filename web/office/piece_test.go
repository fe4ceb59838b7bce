package office

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// tickForm is the form of the piece's next step with every check confirmed.
func (f floor) tickForm(p restoration.Piece) url.Values {
	return url.Values{"kind": {"tick"}, "step": {p.Sum.NextStep.String()}, "hours": {"1.25"}, "checks": f.checks(p)}
}

func (f floor) found(id restoration.ID) restoration.Piece {
	f.shopWindow.t.Helper()
	p, err := f.bench.store.FindPiece(f.shopWindow.t.Context(), id)
	require.NoError(f.shopWindow.t, err)
	return p
}

func TestTickFromTheOffice(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
	path := piecePath(pieces[0].ID)
	a := f.submit(path+"/entries", f.tickForm(pieces[0]))
	require.Equal(t, http.StatusSeeOther, a.code)
	require.Equal(t, path, a.to)
	page := f.page(path)
	require.Contains(t, page.text(), "Ticked stripped; 1.25 h logged.")
	require.Contains(t, page.within("past").text(), "Ada Quill · office")
	require.Equal(t, restoration.Minutes(75), f.found(pieces[0].ID).Steps[0].Logged)
}

// The tick form draws every check, and without one the refusal says which.
func TestTickAsksForItsChecks(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
	path := piecePath(pieces[0].ID)
	stage, _ := restoration.StockRoute().Stage("stripped")
	require.Len(t, f.page(path).all("input", "name", "checks"), len(stage.Checks))
	form := f.tickForm(pieces[0])
	form.Del("checks")
	f.submit(path+"/entries", form)
	require.Contains(t, f.page(path).text(), "Not done. Answer first: "+stage.Checks[0].Text)
}

func TestRefusalSaysFromWhichHour(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
	f.tick(pieces[0], 2, f.ida, noon.Add(-2*hour))
	path := piecePath(pieces[0].ID)
	piece := f.found(pieces[0].ID)
	require.Contains(t, f.page(path).text(), "Not before Sat 28 Mar 2026, 02:00 (in 14 h).")
	f.submit(path+"/entries", f.tickForm(piece))
	require.Contains(t, f.page(path).text(), "Not yet: blocked may begin in 14 h. It still hardens after primed. Allowed from Sat 28 Mar 2026, 02:00.")

	against := f.tickForm(piece)
	against.Set("reason", "baked at 60 °C")
	f.submit(path+"/entries", against)
	require.Equal(t, "blocked", f.found(piece.ID).Sum.Reached)
	require.Contains(t, f.page("/office").within("look").text(), "baked at 60 °C")
}

// The same form twice, as by a double click, is one entry.
func TestDoubleSubmitIsOneEntry(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
	path := piecePath(pieces[0].ID)
	form := url.Values{"kind": {"log time"}, "step": {pieces[0].Sum.NextStep.String()}, "hours": {"2"}, "id": {newID().String()}}
	for range 2 {
		require.Equal(t, path, f.post(path+"/entries", form).to)
		require.Contains(t, f.page(path).text(), "Saved. Logged time")
	}
	require.Equal(t, restoration.Minutes(120), f.found(pieces[0].ID).Steps[0].Logged)
}

func TestEntriesOfAPiece(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		form url.Values
		done func(t *testing.T, p restoration.Piece)
		says string
	}{
		"take in hand": {url.Values{"kind": {"start"}, "step": {"next"}}, func(t *testing.T, p restoration.Piece) {
			require.Equal(t, restoration.StepInHand, p.Steps[0].State)
		}, "in hand"},
		"only what is left": {url.Values{"kind": {"log time"}, "step": {"next"}, "still": {"0,5"}}, func(t *testing.T, p restoration.Piece) {
			require.Equal(t, restoration.Minutes(30), p.Steps[0].Left)
		}, "0.5 h still to go"},
		"skip": {url.Values{"kind": {"skip"}, "step": {"next"}, "reason": {"bare already"}}, func(t *testing.T, p restoration.Piece) {
			require.Equal(t, restoration.StepSkipped, p.Steps[0].State)
		}, "bare already"},
		"hold": {url.Values{"kind": {"hold"}, "hold_reason": {"hinges"}}, func(t *testing.T, p restoration.Piece) {
			require.Equal(t, "hinges", p.Holding.Reason)
		}, "Put on hold"},
		"move": {url.Values{"kind": {"move"}, "place": {"rack 3"}}, func(t *testing.T, p restoration.Piece) {
			require.Equal(t, "rack 3", p.LiesAt)
		}, "Moved to rack 3"},
		"note": {url.Values{"kind": {"note"}, "memo": {"stamped 14 inside"}}, func(*testing.T, restoration.Piece) {}, "“stamped 14 inside”"},
		"take off the list": {url.Values{"kind": {"remove"}, "remove_reason": {"never fitted"}}, func(t *testing.T, p restoration.Piece) {
			require.False(t, p.Removed.IsZero())
		}, "Taken off the list"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f := openFloor(t)
			_, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
			if tc.form.Get("step") != "" {
				tc.form.Set("step", pieces[0].Sum.NextStep.String())
			}
			path := piecePath(pieces[0].ID)
			require.Equal(t, path, f.submit(path+"/entries", tc.form).to)
			tc.done(t, f.found(pieces[0].ID))
			require.Contains(t, f.page(path).within("past").text(), tc.says)
		})
	}
}

// What is wrong stands at its field, with what was typed; nothing is entered.
func TestWrongEntriesKeepWhatWasTyped(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
	path := piecePath(pieces[0].ID)
	step := pieces[0].Sum.NextStep.String()
	for name, tc := range map[string]struct {
		form  url.Values
		field string
		says  string
	}{
		"hours that are none": {url.Values{"kind": {"tick"}, "step": {step}, "hours": {"NaN"}, "note": {"keep me"}}, "hours", "Write hours as a number"},
		"hours below nought":  {url.Values{"kind": {"log time"}, "step": {step}, "hours": {"-1"}, "note": {"keep me"}}, "hours", "can't be negative"},
		"no hours":            {url.Values{"kind": {"log time"}, "step": {step}, "note": {"keep me"}}, "hours", "Say how long it took"},
		"skip without reason": {url.Values{"kind": {"skip"}, "step": {step}, "note": {"keep me"}}, "reason", "Say why"},
		"hold without reason": {url.Values{"kind": {"hold"}, "hold_reason": {""}}, "hold_reason", "Say what the piece waits for."},
		"empty note":          {url.Values{"kind": {"note"}, "memo": {" "}}, "memo", "Write the note"},
		"long place":          {url.Values{"kind": {"move"}, "place": {strings.Repeat("x", 61)}}, "place", "61 characters"},
	} {
		t.Run(name, func(t *testing.T) {
			a := f.submit(path+"/entries", tc.form)
			require.Equal(t, http.StatusUnprocessableEntity, a.code)
			page := parsePage(t, a.body)
			require.Contains(t, text(page.one("p", "id", tc.field+"-error")), tc.says)
			require.Equal(t, strings.TrimSpace(tc.form.Get(tc.field)), strings.TrimSpace(attribute(page.one("", "id", tc.field), "value")))
			if tc.form.Has("note") {
				require.Equal(t, "keep me", attribute(page.one("input", "id", "note"), "value"))
			}
		})
	}
	entries, err := f.bench.store.History(t.Context(), restoration.HistoryFilter{PieceID: pieces[0].ID})
	require.NoError(t, err)
	require.Len(t, entries, 1, "the opening alone")
}

func TestSendBackFromTheOffice(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
	path := piecePath(pieces[0].ID)
	require.Empty(t, f.page(path).all("select", "name", "defect"), "nothing is done yet")
	f.tick(pieces[0], 7, f.ida, noon.Add(-24*time.Hour))
	a := f.submit(path+"/entries", url.Values{"kind": {"send back"}, "defect": {""}, "found": {"a pale patch"}})
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, text(parsePage(t, a.body).one("p", "id", "defect-error")), "Choose what went wrong.")
	require.Contains(t, a.body, "a pale patch")

	require.Equal(t, path, f.submit(path+"/entries", url.Values{"kind": {"send back"}, "defect": {"cut-through"}, "cost": {"6"}}).to)
	p := f.found(pieces[0].ID)
	require.Equal(t, "grained", p.Sum.NextStage, "a cut-through goes back to the grain")
	page := f.page(path).within("live")
	require.Contains(t, page.text(), "rework")
	require.Len(t, page.all("tr", "class", "old-pass"), 3, "grained, cleared and cut; fitted was never begun")
}

// The planned column adds up to its foot, which tells the first plan from rework by the
// figures of the car's page; what stands in a later pass is struck.
func TestStepsAddUpAfterSendBacks(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
	path := piecePath(pieces[0].ID)
	f.tick(pieces[0], 7, f.ida, noon.Add(-24*time.Hour))
	require.NotContains(t, f.page(path).within("live").text(), "First plan")
	f.submit(path+"/entries", url.Values{"kind": {"log time"}, "step": {f.found(pieces[0].ID).Sum.NextStep.String()}, "hours": {"0.25"}})
	for _, stage := range []string{"grained", "grounded"} {
		require.Equal(t, path, f.submit(path+"/entries", url.Values{"kind": {"send back"}, "defect": {"cut-through"}, "stage": {stage}}).to)
	}
	roll, err := f.bench.store.CarRoll(t.Context(), car.ID)
	require.NoError(t, err)
	live := f.page(path).within("live")
	require.Contains(t, live.text(), "First plan "+ui.Num(roll.Planned.Hours(), 2)+" · rework "+ui.Num(roll.ReworkPlanned.Hours(), 2))
	require.Contains(t, live.text(), "after the 2nd send-back")
	require.Contains(t, live.text(), "not counted: ")

	sum := sumSteps(f.found(pieces[0].ID))
	require.Equal(t, roll.Planned+roll.ReworkPlanned, sum.Planned.Likely)
	column := restoration.Minutes(0)
	p, route := f.found(pieces[0].ID), stock()
	for _, s := range p.Steps {
		if line := stepLineOf(s, p, route); line.Counts {
			column += line.Planned.Likely
		}
	}
	require.Equal(t, sum.Planned.Likely, column)
}

// A step that is not ticked has a quarter of an hour left, which the page says where its
// plan was less.
func TestLeastThatIsLeftIsSaid(t *testing.T) {
	t.Parallel()
	open := restoration.Step{State: restoration.StepOpen, Planned: restoration.Estimate{Low: 5, Likely: 10, High: 15}, Left: 15}
	require.True(t, stepLineOf(open, restoration.Piece{}, stock()).Least)
	open.StillToGo = new(restoration.Minutes(15))
	require.False(t, stepLineOf(open, restoration.Piece{}, stock()).Least, "that is the technician's word")
	open.StillToGo, open.Planned.Likely = nil, 20
	require.False(t, stepLineOf(open, restoration.Piece{}, stock()).Least)
}

// The form offers only what may be done: stages that were worked, and first the faults
// that show at the stage reached or the next.
func TestSendBackOffersWhatFits(t *testing.T) {
	t.Parallel()
	w := opened(t, "dash", restoration.Details{})
	w.ticks(4, noon.AddDate(0, 0, -10)) // grounded; to be grained next
	require.Equal(t, "grounded", w.Sum.Reached)
	var stages, defects []string
	for _, o := range backOptions(w.Piece, stock())[1:] {
		stages = append(stages, o.Value)
	}
	for _, o := range defectOptions(w.Piece, stock())[1:] {
		defects = append(defects, o.Value)
	}
	require.NotContains(t, stages, "grained")
	require.Equal(t, "grounded", stages[len(stages)-1])
	require.Equal(t, []string{"dent-missed", "pinholes", "scratch-swelling", "blister", "colour-off"}, defects[:5])
	require.Equal(t, restoration.DefectOther, defects[len(defects)-1])
}

// The hours beside a defect are its usual ones, those beside a stage all that is done again:
// each says which.
func TestSendBackSaysWhatItsHoursGoBy(t *testing.T) {
	t.Parallel()
	w := opened(t, "dash", restoration.Details{})
	w.ticks(4, noon.AddDate(0, 0, -10))
	var words []string
	for _, o := range slices.Concat(defectOptions(w.Piece, stock()), backOptions(w.Piece, stock())) {
		words = append(words, o.Word)
	}
	all := strings.Join(words, "\n")
	require.Contains(t, all, "(to grounded, usually 2 h)")
	require.Contains(t, all, "Stripped, 4.2 h as planned")
}

// The rework figure opens into pieces whose rework adds up to it.
func TestReworkLinkAddsUp(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, _ := f.fill()
	roll, err := f.bench.store.CarRoll(t.Context(), car.ID)
	require.NoError(t, err)
	require.Positive(t, roll.ReworkLeft)
	sum := ui.Num(roll.ReworkLeft.Hours(), 2)
	path := carPath(car.WorkOrder) + "?now=rework"
	require.Equal(t, hoursOf(roll.ReworkLeft), text(f.page(carPath(car.WorkOrder)).one("a", "href", path+"#pieces")))
	list := f.page(path).within("pieces-list").text()
	require.Contains(t, list, "Of it rework, h")
	require.True(t, strings.HasSuffix(list, sum), list)
	require.Equal(t, sum, text(f.page("/office").within("shop").one("a", "href", "/office/work?now=rework")))
	require.Contains(t, f.page("/office/work?now=rework").within("work").text(), hoursOf(roll.ReworkLeft)+" of it rework")
}

func TestPieceGoesByItsSide(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "X"}, 0)
	i := slices.IndexFunc(pieces, func(p restoration.Piece) bool { return p.Title() != p.Name })
	p := pieces[i]
	require.Equal(t, p.Title(), text(f.page(piecePath(p.ID)).one("h1")))
	require.Contains(t, f.page(carPath(car.WorkOrder)+"/history").text(), "Strap plate, right")
	require.Contains(t, f.page("/office/search?q=moulding").text(), "moulding, left")
	require.NotEmpty(t, f.page(carPath(car.WorkOrder)).all("a", "data-piece", p.ID.String(), "aria-label", p.Title()+", as it came in*"))
}

func TestUntickStandsAtTheLastStep(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
	f.tick(pieces[0], 2, f.ida, noon.Add(-2*hour))
	path := piecePath(pieces[0].ID)
	form := f.page(path).one("input", "name", "kind", "value", "untick").Parent
	m := markup{t, form}
	require.Equal(t, path, f.post(path+"/entries", url.Values{"id": {attribute(m.one("input", "name", "id"), "value")}, "kind": {"untick"},
		"step": {attribute(m.one("input", "name", "step"), "value")}}).to)
	require.Equal(t, "stripped", f.found(pieces[0].ID).Sum.Reached)
}

func TestOvertypeThePlan(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
	path := piecePath(pieces[0].ID)
	step := pieces[0].Sum.NextStep.String()
	require.NotEmpty(t, f.page(path+"?plan="+step).all("input", "id", "likely"))
	a := f.post(path+"/plan", url.Values{"plan": {step}, "low": {"3"}, "likely": {"2"}, "high": {"4"}})
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	page := parsePage(t, a.body)
	require.Contains(t, text(page.one("p", "id", "likely-error")), "from low to likely to high")
	require.Equal(t, "3", attribute(page.one("input", "id", "low"), "value"))
	require.Equal(t, path, f.post(path+"/plan", url.Values{"plan": {step}, "low": {"1"}, "likely": {"2"}, "high": {"4,5"}}).to)
	require.Equal(t, restoration.Hours3(1, 2, 4.5), f.found(pieces[0].ID).Steps[0].Planned)
	require.Contains(t, f.page(path).within("live").text(), "typed")
}

func TestRemovedPieceComesBack(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "X"}, 2)
	path := piecePath(pieces[0].ID)
	f.submit(path+"/entries", url.Values{"kind": {"remove"}})
	page := f.page(carPath(car.WorkOrder))
	require.NotContains(t, page.within("pieces-list").text(), pieces[0].Label)
	require.NotEmpty(t, page.all("form", "action", path+"/entries"), "the car's page offers to put it back")
	require.Contains(t, f.page(path).text(), "Put it back")
	f.submit(path+"/entries", url.Values{"kind": {"restore"}})
	require.Contains(t, f.page(carPath(car.WorkOrder)).within("pieces-list").text(), pieces[0].Label)
}

func TestNoSuchPiece(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	for _, path := range []string{"/office/pieces/x", piecePath(newID()), "/office/cars/26-999"} {
		a := f.get(path)
		require.Equal(t, http.StatusNotFound, a.code, path)
		require.Contains(t, a.body, "Not here")
	}
}

// A wait that an earlier stage asked for, and that was over when a later one was done, is
// said at the earlier one alone.
func TestAStepSaysOnlyAWaitThatCameAfterIt(t *testing.T) {
	t.Parallel()
	for touch, want := range map[time.Time]time.Time{noon.Add(-time.Hour): {}, noon: {}, noon.Add(time.Hour): noon.Add(time.Hour)} {
		step := restoration.Step{Stage: "cut", State: restoration.StepDone, DoneAt: noon, TouchAgain: touch}
		require.Equal(t, want, stepLineOf(step, restoration.Piece{}, restoration.Route{}).Touch)
	}
}
