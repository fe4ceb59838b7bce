package bench

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

const (
	hoursPath     = ui.BenchHoursPath
	forgottenPath = hoursPath + "/forgotten"

	notWorkedCheck = restoration.CheckNotWorked
)

func (b *Bench) timerRoutes(r chi.Router) {
	r.Get("/hours", b.handle(b.showHours))
	r.Get("/hours/forgotten", b.handle(b.showForgotten))
	r.Post("/hours", b.handle(b.logTimer))
}

// needHours asks first for the hours of a timer that was forgotten, whatever page was
// wanted. What is entered passes: nothing entered may be lost; so does what is fetched to be
// kept, which nobody looks at now.
func (b *Bench) needHours(next http.Handler) http.Handler {
	return b.handle(func(w http.ResponseWriter, r *http.Request) error {
		if r.URL.Path == "/bench/live" {
			next.ServeHTTP(w, r)
			return nil
		}
		v := visitOf(r)
		var err error
		if v.timers, err = b.shop.Timers(r.Context(), v.person.ID); err != nil {
			return err
		}
		if _, forgot := v.shop.FindForgotten(v.timers, b.now()); forgot && !quietly(r) && r.Method == http.MethodGet && r.URL.Path != forgottenPath {
			return web.SeeOther(w, r, forgottenPath+"?next="+url.QueryEscape(r.URL.RequestURI()))
		}
		next.ServeHTTP(w, withVisit(r, v))
		return nil
	})
}

// timerLine is the clock that every page shows: the one that runs, else what is not
// logged yet; nil: nothing.
func (v visit) timerLine(now time.Time) *ui.TimerProps {
	if len(v.timers) == 0 {
		return nil
	}
	p := timerProps(v.timers[0], now)
	return &p
}

// timed is the piece that the person's clock runs on; zero: none runs.
func (v visit) timed() restoration.ID {
	if len(v.timers) == 0 || v.timers[0].Running.IsZero() {
		return restoration.ID{}
	}
	return v.timers[0].PieceID
}

func timerProps(t restoration.Timer, now time.Time) ui.TimerProps {
	return ui.TimerProps{Word: t.Piece, Minutes: int(t.Worked(now)), Runs: !t.Running.IsZero(), Now: now}
}

// clockWord stands before what a clock shows.
func clockWord(c ui.TimerProps) string {
	if c.Runs {
		return "timer runs"
	}
	return "stopped at"
}

// timerOn finds the person's clock on a step.
func timerOn(timers []restoration.Timer, step restoration.ID) (restoration.Timer, bool) {
	i := slices.IndexFunc(timers, func(t restoration.Timer) bool { return t.StepID == step })
	if i < 0 {
		return restoration.Timer{}, false
	}
	return timers[i], true
}

// saidOfStart says that the clock runs, and which one it stopped.
func (b *Bench) saidOfStart(r *http.Request, in Incoming, said ui.Notice) (ui.Notice, error) {
	timers, err := b.shop.Timers(r.Context(), visitOf(r).person.ID)
	if err != nil {
		return said, err
	}
	if t, ok := timerOn(timers, in.StepID); ok && !t.Running.IsZero() && said.Kind == ui.NoticeInfo {
		said = ui.Notice{Kind: ui.NoticeDone, Text: t.Piece + ": the timer runs."} // it was in hand already
	}
	if stopped := stoppedBy(timers, in.StepID, in.At.Truncate(time.Microsecond)); stopped != "" {
		said.Text += " " + stopped
	}
	return said, nil
}

// stoppedBy says which clock a start has stopped, and at what; "" none.
func stoppedBy(timers []restoration.Timer, started restoration.ID, at time.Time) string {
	for _, t := range timers {
		n := len(t.Spans)
		if t.StepID != started && t.Running.IsZero() && n > 0 && t.Spans[n-1].To.Equal(at) {
			return t.Piece + " stopped at " + ui.TimerProps{Minutes: int(t.Worked(at))}.Text() + "."
		}
	}
	return ""
}

// forgottenView asks for the true hours of a timer.
type forgottenView struct {
	Page    ui.PageProps
	Timer   timerForm
	Since   string
	Shows   string
	Choices []hoursChoice
}

// hoursChoice is hours at one touch.
type hoursChoice struct{ Word, Hint, Hours string }

// timerForm logs what a timer shows, or other hours.
type timerForm struct {
	ID, Step, Next string
	Piece, Stage   string
	Car            string // its work order and name
	Clock          ui.TimerProps
	Href           string // of the piece
	Hours          ui.StepperProps
	Now            string
}

func (b *Bench) newTimerForm(t restoration.Timer, next string) timerForm {
	now := b.now()
	f := timerForm{ID: newID(), Step: t.StepID.String(), Next: next, Piece: t.Piece, Stage: t.Stage, Car: t.CarWO + " " + t.Car, Clock: timerProps(t, now),
		Href: piecePath(t.PieceID), Now: now.UTC().Format(time.RFC3339)}
	f.Hours = ui.StepperProps{Name: "hours", Label: "Hours worked", Minutes: int(min(t.Worked(now).Quarters(), restoration.MaxEntry))}
	return f
}

func (b *Bench) showForgotten(w http.ResponseWriter, r *http.Request) error {
	return b.renderForgotten(w, r, r.URL.Query(), nil)
}

func (b *Bench) renderForgotten(w http.ResponseWriter, r *http.Request, form url.Values, faults []ui.FieldError) error {
	v := visitOf(r)
	f, forgot := v.shop.FindForgotten(v.timers, b.now())
	if !forgot {
		return web.SeeOther(w, r, benchPath(form.Get("next")))
	}
	view := forgottenView{Page: b.frame(r, "When did you stop?"), Timer: b.newTimerForm(f.Timer, benchPath(form.Get("next"))),
		Since: ui.When(f.Until(b.now())[0].From, v.shop.Location()), Choices: choicesOf(f, v.shop.Location())}
	view.Page.Eyebrow, view.Page.Alone = "A timer ran on", true
	view.Shows = view.Timer.Clock.Text()
	view.Timer.Hours.Label = "Other hours"
	view.Timer.Hours.Minutes = int(min(cmp.Or(f.Closing, f.Limit), cmp.Or(f.Limit, f.Closing)).Quarters())
	failHours(&view.Timer.Hours, form, faults)
	return web.Render(w, r, statusFor(faults), forgottenPage(view))
}

// failHours puts what was typed and what is wrong with it back into the field.
func failHours(s *ui.StepperProps, form url.Values, faults []ui.FieldError) {
	for _, fault := range faults {
		s.Value, s.Error = form.Get("hours"), fault.Text
	}
}

func choicesOf(f restoration.Forgotten, loc *time.Location) []hoursChoice {
	var list []hoursChoice
	add := func(word string, m restoration.Minutes) {
		if m > 0 {
			m = min(m.Quarters(), restoration.MaxEntry)
			list = append(list, hoursChoice{Word: word, Hint: ui.Hours(int(m)), Hours: decimalHours(m)})
		}
	}
	if !f.ShutAt.IsZero() {
		add("Until closing, "+f.ShutAt.In(loc).Format("15:04"), f.Closing)
	}
	add("Until the limit", f.Limit)
	return list
}

func decimalHours(m restoration.Minutes) string { return strconv.FormatFloat(m.Hours(), 'f', -1, 64) }

// benchPath is where a form leads on; anything but a page of the bench is its first.
func benchPath(next string) string {
	if at, err := url.Parse(next); err != nil || at.Host != "" || at.Scheme != "" || !strings.HasPrefix(at.Path, "/bench") || at.Path == forgottenPath {
		return "/bench"
	}
	return next
}

// logTimer ends a timer with the hours that its person says, or with none.
func (b *Bench) logTimer(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, MaxBody)
	if err := r.ParseForm(); err != nil {
		return restoration.Problemf(restoration.TroubleInvalid, "", "This form can't be read. Go back and send it again.")
	}
	in, faults := parseForm("pause", restoration.ID{}, r.PostForm, b.now())
	if in.Hours == nil && len(in.Checks) == 0 && len(faults) == 0 {
		faults = []ui.FieldError{{Name: "hours", Text: "Give hours from 0.25 to 24, such as 1.25, or say that nothing was worked."}}
	}
	if len(faults) == 0 {
		outcomes, err := b.shop.Enter(r.Context(), []restoration.Event{in.Event(visitOf(r).actor())})
		if err != nil {
			return err
		}
		if outcomes[0].Result != restoration.Refused {
			b.keep(r, keySaid, ui.Notice{Kind: ui.NoticeDone, Text: b.loggedWords(r, in)})
			return web.SeeOther(w, r, benchPath(r.PostForm.Get("next")))
		}
		faults = []ui.FieldError{{Name: "hours", Text: outcomes[0].Reason}}
	}
	if _, forgot := visitOf(r).shop.FindForgotten(visitOf(r).timers, b.now()); forgot {
		return b.renderForgotten(w, r, r.PostForm, faults)
	}
	return b.renderHours(w, r, r.PostForm, faults)
}

// loggedWords says what was logged, on what and for which day.
func (b *Bench) loggedWords(r *http.Request, in Incoming) string {
	v := visitOf(r)
	if in.Hours == nil {
		return "The timer is cleared; no time is logged."
	}
	said := ui.Hours(int(*in.Hours)) + " logged"
	t, ok := timerOn(v.timers, in.StepID)
	if !ok {
		return said + "."
	}
	return said + " on " + t.Piece + ", " + lowerFirst(t.Stage) + ", " + t.CarWO + ", for " + ui.Day(t.WorkedAt(*in.Hours, in.At), v.shop.Location()) + "."
}
