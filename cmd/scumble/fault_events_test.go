package main

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"scumble/internal/store/storetest"
)

// serveShop runs the program in this process on a database of the test's own.
func serveShop(t *testing.T) *shop {
	t.Helper()
	database := storetest.URL(t)
	s := setUpShop(t, start(t, "serve", "--listen", "127.0.0.1:0", "--database-url", database))
	s.database = database
	return s
}

// Whatever a broken or hostile tablet sends is answered with a sentence, and harms
// nothing; what is well formed is kept with its refusal.
func TestEntriesThatCannotBeRight(t *testing.T) {
	t.Parallel()
	s := serveShop(t)
	t.Run("whole request", s.refusesRequests)
	t.Run("who asks", s.refusesStrangers)
	t.Run("one entry", s.refusesEntries)
	t.Run("turn", s.refusesOutOfTurn)
	t.Run("twice", s.answersTwice)
	t.Run("two tablets", s.takesOneOfTwo)
	_, errs, err := execute(t, "", "verify", "--database-url", s.database)
	require.NoError(t, err, errs)
}

// What is no array of entries is refused whole: nothing of it is applied.
func (s *shop) refusesRequests(t *testing.T) {
	note := func(i int) entry {
		return newEntry("note", entry{"piece": s.pieces[0], "note": fmt.Sprint("number ", i)})
	}
	good := bodyOf(t, note(0))
	many := make([]entry, 501)
	for i := range many {
		many[i] = note(i)
	}
	with := func(field string, value any) string {
		e := note(0)
		e[field] = value
		return bodyOf(t, note(0), e)
	}
	raw := func(field, value string) string {
		return strings.Replace(bodyOf(t, note(0), newEntry("log time", entry{"step": uuid.NewString(), "hours": "HERE"})), field, value, 1)
	}
	for _, tc := range []struct {
		name, body string
		status     int
		says       string
	}{
		{"empty", "", 400, "array"},
		{"broken off", good[:len(good)-2], 400, "JSON"},
		{"object", strings.Trim(good, "[]"), 400, "array"},
		{"null", "null", 400, "array"},
		{"no entry", `[1]`, 400, "Entry 0"},
		{"text behind", good + "x", 400, "JSON"},
		{"501", bodyOf(t, many...), 400, "at most 500"},
		{"3 MB", `["` + strings.Repeat("x", 3<<20) + `"]`, 413, "2 MB"},
		{"hours as text", raw(`"HERE"`, `"1"`), 400, "hours"},
		{"hours NaN", raw(`"HERE"`, `NaN`), 400, "JSON"},
		{"hours beyond numbers", raw(`"HERE"`, `1e999`), 400, "hours"},
		{"unknown kind", with("kind", "grain"), 400, "Entry 1: kind"},
		{"kind of the office", with("kind", "car deliver"), 400, "Entry 1: kind"},
		{"no id", with("id", ""), 400, "Entry 1: id"},
		{"id is no UUID", with("id", "1; DROP TABLE shop_events"), 400, "Entry 1: id"},
		{"no piece", with("piece", ""), 400, "Entry 1: piece"},
		{"no time", with("at", "yesterday"), 400, "Entry 1: at"},
		{"deep", strings.Repeat("[", 100_000), 400, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got := s.tablet.send("/bench/events", tc.body)
			requireProblem(t, got, tc.status, tc.says)
		})
	}
	require.NotContains(t, s.tablet.get("/bench/pieces/"+s.pieces[0]).body, "number 0", "nothing of a refused request is applied")

	got := s.tablet.send("/bench/events", "[]")
	require.Equal(t, http.StatusOK, got.status)
	require.JSONEq(t, "[]", got.body)
	most := s.tablet.send("/bench/events", bodyOf(t, many[:500]...))
	require.Equal(t, http.StatusOK, most.status, "500 are not too many: %.200s", most.body)
	require.Equal(t, 500, strings.Count(most.body, `"applied"`))
}

// requireProblem wants problem details (RFC 9457) with a sentence.
func requireProblem(t *testing.T, got reply, status int, says string) {
	t.Helper()
	require.Equal(t, status, got.status, got.body)
	require.Equal(t, "application/problem+json", got.header.Get("Content-Type"))
	require.Contains(t, got.body, fmt.Sprintf(`"status":%d`, status))
	require.Contains(t, got.body, says)
	require.NotRegexp(t, `goroutine|\.go:|SQLSTATE|pgx|panic`, got.body, "nothing of the program's inside is told")
	require.Less(t, len(got.body), 1000)
}

// Only who is signed in on an enrolled tablet is heard, and only by its own pages.
func (s *shop) refusesStrangers(t *testing.T) {
	body := bodyOf(t, newEntry("note", entry{"piece": s.pieces[1], "note": "from a stranger"}))
	requireProblem(t, newClient(t, s.tablet.base).send("/bench/events", body), http.StatusUnauthorized, "not enrolled")
	requireProblem(t, s.enrol("Nobody's").send("/bench/events", body), http.StatusUnauthorized, "Nobody is signed in")

	for name, header := range map[string]http.Header{
		"by the browser's word": {"Sec-Fetch-Site": {"cross-site"}},
		"by origin":             {"Origin": {"https://elsewhere.example"}},
		"sandboxed":             {"Origin": {"null"}},
	} {
		header.Set("Content-Type", "application/json")
		for _, path := range []string{"/bench/events", "/bench/pieces/" + s.pieces[1] + "/note"} {
			require.Equal(t, http.StatusForbidden, s.tablet.must(http.MethodPost, path, body, header).status, "%s: %s", name, path)
		}
		for _, path := range []string{"/office/people", "/office/signin", "/office/signout"} {
			require.Equal(t, http.StatusForbidden, s.owner.must(http.MethodPost, path, "", header).status, "%s: %s", name, path)
		}
	}
	for _, kind := range []string{"text/plain", "application/x-www-form-urlencoded", "multipart/form-data"} {
		got := s.tablet.must(http.MethodPost, "/bench/events", "name=value", http.Header{"Content-Type": {kind}})
		requireProblem(t, got, http.StatusBadRequest, "array")
	}
	require.Equal(t, http.StatusMethodNotAllowed, s.tablet.get("/bench/events").status)
	require.NotContains(t, s.tablet.get("/bench/pieces/"+s.pieces[1]).body, "from a stranger")
}

// What is well formed and can't be right is refused by itself, with the reason, and
// kept for the owner to look at.
func (s *shop) refusesEntries(t *testing.T) {
	piece := s.pieces[2]
	step, checks := s.next(piece)
	other, _ := s.next(s.pieces[3])
	page := s.owner.post("/office/cars/new", url.Values{"source": {"body"}, "body_list": {"drophead"}, "quality": {"show"}, "pair": {"oak"}, "name": {"1938 Brennick Four"}})
	foreign, _ := s.next(find(t, page, `href="/office/pieces/([0-9a-f-]{36})"`))
	ago := func(d time.Duration) string { return time.Now().Add(-d).UTC().Format(time.RFC3339) }
	for _, tc := range []struct {
		name string
		e    entry
		says string
	}{
		{"no hours", newEntry("log time", entry{"step": step}), "how long"},
		{"hours 0", newEntry("log time", entry{"step": step, "hours": 0}), "how long"},
		{"hours -1", newEntry("log time", entry{"step": step, "hours": -1}), "more than 0"},
		{"hours 1e9", newEntry("log time", entry{"step": step, "hours": 1e9}), "up to 24 h"},
		{"hours -1e300", newEntry("tick", entry{"step": step, "checks": checks, "hours": -1e300}), "more than 0"},
		{"hours beyond a day", newEntry("tick", entry{"step": step, "checks": checks, "hours": 24.1}), "up to 24 h"},
		{"still to go -1", newEntry("still to go", entry{"step": step, "still_to_go": -1}), "0 to 1,000"},
		{"unknown step", newEntry("tick", entry{"step": uuid.NewString(), "checks": checks}), "no such step"},
		{"unknown piece", newEntry("note", entry{"piece": uuid.NewString(), "note": "n"}), "no such piece"},
		{"another piece's step", newEntry("tick", entry{"step": other, "piece": piece, "checks": checks}), "no such step"},
		{"another car's step", newEntry("tick", entry{"step": foreign, "piece": piece, "checks": checks}), "no such step"},
		{"checks not answered", newEntry("tick", entry{"step": step, "checks": []string{}}), "Answer first"},
		{"from the future", newEntry("tick", entry{"step": step, "checks": checks, "at": ago(-time.Hour)}), "in the future"},
		{"of the year 9999", newEntry("tick", entry{"step": step, "checks": checks, "at": "9999-12-31T23:59:59Z"}), "in the future"},
		{"of last year", newEntry("tick", entry{"step": step, "checks": checks, "at": ago(365 * 24 * time.Hour)}), "90 days"},
		{"of the year 1", newEntry("tick", entry{"step": step, "checks": checks, "at": "0001-01-01T00:00:00Z"}), "90 days"},
		{"note of 1 MB", newEntry("note", entry{"piece": piece, "note": strings.Repeat("n", 1<<20)}), "longer than 2000"},
		{"long reason", newEntry("hold", entry{"piece": piece, "reason": strings.Repeat("r", 1<<20)}), "longer than 500"},
		{"long place", newEntry("move", entry{"piece": piece, "place": strings.Repeat("p", 1<<20)}), "longer than 60"},
		{"empty note", newEntry("note", entry{"piece": piece, "note": " "}), "empty"},
		{"hold without a reason", newEntry("hold", entry{"piece": piece}), "why"},
		{"unknown defect", newEntry("send back", entry{"piece": piece, "defect": "gremlins"}), ""},
		{"unknown stage", newEntry("send back", entry{"piece": piece, "defect": "runs", "stage": "polished twice"}), ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got := s.enter(s.tablet, tc.e)
			require.Equal(t, "refused", got.Outcome, got)
			require.Contains(t, got.Reason, tc.says)
			require.Less(t, len(got.Reason), 500)
			require.Equal(t, got, s.enter(s.tablet, tc.e), "the same again gets the same answer")
		})
	}
	again, _ := s.next(piece)
	require.Equal(t, step, again, "no refused entry has moved the piece")
	look := s.owner.get("/office?all")
	require.Equal(t, http.StatusOK, look.status)
	require.Contains(t, look.text(), "One entry holds up to 24 h.", "the owner is shown what was refused")
}

// A step has its turn: not before those ahead of it, not in a wait, not on a piece
// that was taken off the list.
func (s *shop) refusesOutOfTurn(t *testing.T) {
	piece := s.pieces[4]
	first := s.tick(piece, nil)
	steps := s.stepsOf(t, piece)
	require.Equal(t, first["step"], steps[0])
	got := s.enter(s.tablet, newEntry("tick", entry{"step": steps[len(steps)-1], "checks": []string{}}))
	require.Equal(t, "refused", got.Outcome)
	require.Contains(t, got.Reason, "comes first and is not ticked yet")

	got = s.tickIntoWait(t, piece)
	require.Equal(t, "refused", got.Outcome, got)
	require.Contains(t, got.Reason, "Not yet")
	from, err := time.Parse(time.RFC3339, got.AllowedFrom)
	require.NoError(t, err)
	require.True(t, from.After(time.Now()), "%s is to come", from)

	gone := s.pieces[5]
	step := s.tick(gone, nil)
	form := "/office/pieces/" + gone + "/entries"
	page := s.owner.post(form, url.Values{"id": {newEntry("note", nil)["id"].(string)}, "kind": {"remove"}, "reason": {"not of this car"}, "sure": {"on"}})
	require.Equal(t, http.StatusOK, page.status, page.words())
	got = s.enter(s.tablet, step)
	require.Equal(t, "refused", got.Outcome)
	require.Contains(t, got.Reason, "taken off the car's list")
}

// stepsOf lists a piece's steps in their order.
func (s *shop) stepsOf(t *testing.T, piece string) (ids []string) {
	t.Helper()
	for _, c := range exported(t, "--database-url", s.database).Components {
		if c.ID == piece {
			for _, step := range c.Steps {
				ids = append(ids, step.ID)
			}
		}
	}
	require.Greater(t, len(ids), 2)
	return ids
}

// tickIntoWait ticks a piece on until a wait forbids it, and gives that answer.
func (s *shop) tickIntoWait(t *testing.T, piece string) verdict {
	t.Helper()
	for range 12 {
		if got := s.enter(s.tablet, s.tick(piece, nil)); got.Outcome == "refused" {
			return got
		}
	}
	require.Fail(t, "no step of the route waits")
	return verdict{}
}

// The same entry twice gets the same answer; another one under its id is refused.
func (s *shop) answersTwice(t *testing.T) {
	e := s.tick(s.pieces[6], entry{"hours": 1.5})
	first := s.enter(s.tablet, e)
	require.Equal(t, "applied", first.Outcome)
	require.Equal(t, first, s.enter(s.tablet, e))
	got := s.tablet.send("/bench/events", bodyOf(t, e, e))
	all, err := verdicts(got)
	require.NoError(t, err, got.body)
	require.Equal(t, []verdict{first, first}, all)

	e["hours"] = 2.5
	got2 := s.enter(s.tablet, e)
	require.Equal(t, "refused", got2.Outcome)
	require.Contains(t, got2.Reason, "already used for another entry")
	require.Contains(t, s.owner.get("/office/pieces/"+s.pieces[6]).text(), "1.5", "the first hours stand")
}

// Two tablets tick the same step at the same moment: one is applied, the other is
// told who was first, and the hours of both are kept.
func (s *shop) takesOneOfTwo(t *testing.T) {
	s.addPerson("Greta Holm")
	second := s.enrol("Second")
	require.Equal(t, "/bench", s.signIn(second, "Greta Holm", pin).at)
	tablets := []*client{s.tablet, second}
	for _, piece := range s.pieces[10:16] {
		var wg sync.WaitGroup
		replies, errs := make([]reply, 2), make([]error, 2)
		ready := make(chan struct{})
		for i, e := range []entry{s.tick(piece, entry{"hours": 1}), s.tick(piece, entry{"hours": 0.75})} {
			body := bodyOf(t, e)
			wg.Go(func() {
				<-ready
				replies[i], errs[i] = tablets[i].try(http.MethodPost, "/bench/events", body, http.Header{"Content-Type": {"application/json"}})
			})
		}
		close(ready)
		wg.Wait()
		require.NoError(t, errs[0])
		require.NoError(t, errs[1])
		outcomes := map[string]verdict{}
		for _, r := range replies {
			all, err := verdicts(r)
			require.NoError(t, err, r.body)
			outcomes[all[0].Outcome] = all[0]
		}
		require.Contains(t, outcomes, "applied")
		require.Regexp(t, `^(Jonas Örn|Greta Holm) ticked this already, .+\.$`, outcomes["already"].Reason)
		require.Contains(t, s.owner.get("/office/pieces/"+piece).text(), "1.75", "the hours of both are kept")
	}
}
