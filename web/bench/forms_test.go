package bench

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

var stripped = url.Values{"checks": {"photographed", "clean", "graded-again"}, "hours": {"1.25"}}

// formOf takes the hidden fields that the page's form for act was drawn with.
func formOf(t *testing.T, body, action string, more url.Values) url.Values {
	t.Helper()
	_, form, ok := strings.Cut(body, `action="`+action+`"`)
	require.True(t, ok, "no form posts to %s", action)
	form, _, _ = strings.Cut(form, "</form>")
	v := url.Values{}
	for _, m := range regexp.MustCompile(`type="hidden" name="([a-z]+)" value="([^"]*)"`).FindAllStringSubmatch(form, -1) {
		v.Add(m[1], m[2])
	}
	for k, list := range more {
		v[k] = list
	}
	return v
}

func TestFormsWorkWithoutAScript(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)

	got := b.post(path+"/start", formOf(t, b.get(path).body, path+"/start", nil))
	require.Equal(t, path, got.path)
	require.Contains(t, got.body, "took stripped in hand")
	require.Equal(t, restoration.StepInHand, s.piece("Ash tray").Steps[0].State)
	require.Contains(t, b.get("/bench/hand").body, "Ash tray")

	s.pass(100 * time.Minute)
	mine := b.get(path).body
	require.Contains(t, mine, `value="1.75"`, "the timer fills the hours in: 1 h 40 min is 1.75 h in quarters")
	tick := formOf(t, mine, path+"/tick", stripped)
	got = b.post(path+"/tick", tick)
	require.Equal(t, "/bench", got.path, "what comes next stands there")
	require.Contains(t, got.body, "Ash tray: ticked stripped")
	require.EqualValues(t, 75, s.piece("Ash tray").Steps[0].Logged)
	b.post(path+"/tick", tick)
	require.EqualValues(t, 75, s.piece("Ash tray").Steps[0].Logged, "a double touch is one entry")

	undo := formOf(t, b.get("/bench").body, path+"/untick", nil)
	back := b.post(path+"/untick", undo)
	require.Equal(t, "/bench", back.path, "where it was touched")
	require.Contains(t, back.body, "Ash tray: undone, stripped is open again; 1.25 h taken back.")
	require.NotContains(t, b.get(path).body, "undone", "said once")
	require.Equal(t, restoration.StepOpen, s.piece("Ash tray").Steps[0].State)
	require.NotContains(t, b.get("/bench").body, path+"/untick", "what is undone can't be undone again")
}

func TestUndoStaysInTheHistoryWhileTheRulesAllow(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	s.advance("Ash tray", s.ada, 1)
	s.pass(20 * 24 * time.Hour)
	undo := formOf(t, b.get(path).body, path+"/untick", nil)
	s.pass(-20 * 24 * time.Hour)
	s.enter(startOf(s, "Ash tray", s.ben))
	require.NotContains(t, b.get(path).body, path+"/untick", "the next step has begun")
	got := b.post(path+"/untick", undo)
	require.Equal(t, http.StatusUnprocessableEntity, got.status)
	require.Contains(t, got.body, "A later step has begun")
}

func TestPagesForOneThing(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	for _, c := range []struct {
		page, act string
		more      url.Values
		says      string
	}{
		{"time", "time", url.Values{"hours": {"0,5"}}, "Logged time on stripped"},
		{"time", "still", url.Values{"still_to_go": {"2"}}, "what is left of stripped"},
		{"note", "note", url.Values{"note": {"Reverse is pitted"}}, "Reverse is pitted"},
		{"move", "move", url.Values{"place": {"Rack 2, hook 4"}}, "Moved to Rack 2, hook 4"},
		{"hold", "hold", url.Values{"reason": {"Waits for material"}, "own": {"No acid left"}}, "No acid left"},
	} {
		got := b.post(path+"/"+c.act, formOf(t, b.get(path+"/"+c.page).body, path+"/"+c.act, c.more))
		require.Equal(t, http.StatusOK, got.status, c.act)
		require.Equal(t, path, got.path, c.act)
		require.Contains(t, got.body, c.says)
	}
	p := s.piece("Ash tray")
	require.EqualValues(t, 30, p.Steps[0].Logged)
	require.EqualValues(t, 120, *p.Steps[0].StillToGo)
	require.Equal(t, "Rack 2, hook 4", p.LiesAt)
	require.Equal(t, "No acid left", p.Holding.Reason)

	b.post(path+"/release", formOf(t, b.get(path).body, path+"/release", nil))
	require.Nil(t, s.piece("Ash tray").Holding)
	b.post(path+"/skip", formOf(t, b.get(path+"/skip").body, path+"/skip", url.Values{"reason": {"Owner said so"}}))
	require.Equal(t, restoration.StepSkipped, s.piece("Ash tray").Steps[0].State)
}

func TestSendBackNamesTheDefectAndTheStage(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.advance("Ash tray", s.ben, 4)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	choice := b.get(path + "/back").body
	require.Contains(t, choice, "Colour off or lots mixed")
	confirm := b.get(path + "/back?defect=colour-off").body
	require.Regexp(t, `value="grounded" checked`, confirm, "the stage is suggested")
	require.Regexp(t, `value="grounded" checked required> <span>Grounded <small>usually 2 h</small>`, confirm, "and what it costs a medium piece")
	require.Regexp(t, `<span>Stripped <small>4.2 h as planned</small>`, confirm, "another stage costs what is done again")
	form := formOf(t, confirm, path+"/back", url.Values{"stage": {"grounded"}, "hours": {"3"}})
	require.Contains(t, b.post(path+"/back", form).body, "Ash tray: sent back to grounded: colour off or lots mixed; 3 h of work to do again.")
	p := s.piece("Ash tray")
	require.Equal(t, "grounded", p.Sum.NextStage)
	require.True(t, p.Sum.SentBack)
	require.Contains(t, b.get(path).body, "Colour off or lots mixed", "what to do again, and why")

	s.advance("Instrument panel", s.ben, 4)
	path = piecePath(s.pieces["Instrument panel"].ID)
	form = formOf(t, b.get(path+"/back?defect=colour-off").body, path+"/back", url.Values{"stage": {"grounded"}})
	require.Contains(t, b.post(path+"/back", form).body, "colour off or lots mixed; 2 h to do again.", "by the table of defects")
}

func TestFormLosesNothingTyped(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	for _, c := range []struct {
		page, act   string
		more        url.Values
		says, keeps string
	}{
		{"", "tick", url.Values{"hours": {"lots"}}, "such as 1.25", `value="lots"`},
		{"", "tick", url.Values{"hours": {"1e9"}}, "from 0.25 to 24", `value="1e9"`},
		{"", "tick", url.Values{"hours": {"NaN"}}, "from 0.25 to 24", `value="NaN"`},
		{"/time", "time", url.Values{"hours": {"-1"}}, "from 0.25 to 24", `value="-1"`},
		{"/time", "still", url.Values{"still_to_go": {"0"}}, "from 0.25 to 1000", `value="0"`},
		{"/note", "note", url.Values{"note": {strings.Repeat("ü", 2001)}}, "2001 characters", strings.Repeat("ü", 2001)},
		{"/hold", "hold", url.Values{"own": {strings.Repeat("y", 501)}}, "at most 500", strings.Repeat("y", 501)},
		{"/hold", "hold", nil, "Choose a reason", ""},
		{"/move", "move", nil, "Choose a place", ""},
	} {
		got := b.post(path+"/"+c.act, formOf(t, b.get(path+c.page).body, path+"/"+c.act, c.more))
		require.Equal(t, http.StatusUnprocessableEntity, got.status, "%v", c.more)
		require.Contains(t, got.body, c.says)
		require.Contains(t, got.body, c.keeps)
	}
	require.Contains(t, b.post(path+"/tick", url.Values{"id": {"x"}}).body, "out of date")
	refused, err := s.store.History(t.Context(), restoration.HistoryFilter{RefusedOpen: true})
	require.NoError(t, err)
	require.Empty(t, refused, "a slip of the finger is no matter for the owner")
}
