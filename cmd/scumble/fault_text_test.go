package main

import (
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What a person may type is text, whatever it looks like: no page runs it, no query
// trips over it, and it is shown as it was typed. It fits the shortest field.
const (
	hostile        = `<img src=x onerror=alert(1)>'"; DROP TABLE cars;--`
	hostileEscaped = `&lt;img src=x onerror=alert(1)&gt;`
)

func TestHostileTextIsOnlyText(t *testing.T) {
	t.Parallel()
	s := serveShop(t)
	car := url.Values{"source": {"table"}, "quality": {"show"}, "pair": {"own"}, "ground": {"#9a6a3c"}, "grain": {"#3f2413"},
		"name": {hostile}, "body": {hostile}, "customer": {hostile}, "contact": {hostile}, "scheme": {hostile}, "words": {hostile}, "note": {hostile}}
	s.car = s.takeInTable(t, car)
	piece := find(t, s.owner.get("/office/cars/"+s.car), `href="/office/pieces/([0-9a-f-]{36})"`)
	s.pieces = []string{piece}
	s.typeEverywhere(t, piece)
	link := s.makeLink()

	asked := "/office/search?" + url.Values{"q": {hostile}}.Encode()
	pages := map[string]reply{"the link": newClient(t, s.owner.base).get(link)}
	for _, path := range []string{"/office", "/office?all", "/office/work", "/office/people", "/office/tablets", "/office/settings", asked,
		"/office/cars/new", "/office/cars/" + s.car, "/office/cars/" + s.car + "/edit", "/office/cars/" + s.car + "/history",
		"/office/cars/" + s.car + "/links", "/office/cars/" + s.car + "/pieces/new",
		"/office/pieces/" + piece, "/office/pieces/" + piece + "/edit", "/office/pieces/" + piece + "/history"} {
		pages[path] = s.owner.get(path)
	}
	for _, path := range []string{"/bench", "/bench/people", "/bench/hand", "/bench/waiting", "/bench/pieces/" + piece, "/bench/pieces/" + piece + "/move"} {
		pages[path] = s.tablet.get(path)
	}
	for _, path := range slices.Sorted(maps.Keys(pages)) {
		page := pages[path]
		require.Equal(t, http.StatusOK, page.status, "%s: %s", path, page.words())
		require.NotContains(t, page.body, "<img src=x", path)
		require.NotContains(t, page.body, `'"; DROP`, "%s: a quote that could end an attribute", path)
	}
	for _, path := range []string{"/office", asked, "/office/people", "/office/tablets", "/office/cars/" + s.car, "/office/pieces/" + piece,
		"/office/pieces/" + piece + "/history", "/bench", "/bench/people", "/bench/pieces/" + piece, "the link"} {
		require.Contains(t, pages[path].body, hostileEscaped, path)
	}
	require.Contains(t, pages["/office/cars/"+s.car+"/edit"].text(), `value="`+hostile+`"`, "it is shown as it was typed")
	_, errs, err := execute(t, "", "verify", "--database-url", s.database)
	require.NoError(t, err, errs)
}

// takeInTable takes in a car whose trim list is hostile too, by the page that shows
// the list first.
func (s *shop) takeInTable(t *testing.T, form url.Values) (workOrder string) {
	t.Helper()
	cell := `"` + strings.ReplaceAll(hostile, `"`, `""`) + `"`
	form.Set("list", "piece,zone,place,set,lies_at,note,"+cell+"\n"+strings.Join([]string{cell, "front", cell, cell, cell, cell, cell}, ",")+"\n")
	shown := s.owner.post("/office/cars/new", form)
	require.Equal(t, http.StatusOK, shown.status, shown.words())
	require.NotContains(t, shown.body, "<img src=x")
	form.Set("seen", find(t, shown, `name="seen" value="([^"]+)"`))
	form.Set("act", "confirm")
	page := s.owner.post("/office/cars/new", form)
	require.Regexp(t, `^/office/cars/\d\d-002$`, page.at, page.words())
	return strings.TrimPrefix(page.at, "/office/cars/")
}

// typeEverywhere types hostile text wherever a person or a tablet may type.
func (s *shop) typeEverywhere(t *testing.T, piece string) {
	t.Helper()
	s.addPerson(hostile)
	s.enrol(hostile)
	step, _ := s.next(piece)
	for _, e := range []entry{
		newEntry("note", entry{"piece": piece, "note": hostile}),
		newEntry("move", entry{"piece": piece, "place": "off " + hostile}),
		newEntry("skip", entry{"step": step, "reason": hostile}),
		newEntry("untick", entry{"step": step}),
		newEntry("hold", entry{"piece": piece, "reason": hostile}),
	} {
		require.Equal(t, "applied", s.enter(s.tablet, e).Outcome, e)
	}
	refused := newEntry("send back", entry{"piece": piece, "defect": hostile, "stage": hostile, "reason": hostile, "checks": []string{hostile}})
	require.Equal(t, "refused", s.enter(s.tablet, refused).Outcome)
}

// What can't be kept or shown is refused at its field, and all else stays typed.
func TestTextThatCannotBeKept(t *testing.T) {
	t.Parallel()
	s := serveShop(t)
	for name, text := range map[string]string{
		"nought": "Brennick\x00", "bell": "Brennick\a", "no UTF-8": "Brennick \xff", "too long": strings.Repeat("Brennick", 10),
		"1 MB": strings.Repeat("Brennick", 125_000), "blank": " \t ",
	} {
		page := s.owner.post("/office/cars/new", url.Values{"source": {"none"}, "quality": {"show"}, "pair": {"oak"}, "name": {text}, "customer": {"E. Marchetti-Lowe"}})
		require.Equal(t, http.StatusUnprocessableEntity, page.status, "%s: %s", name, page.words())
		require.Contains(t, page.body, `id="name-error"`, "%s: the sentence stands at the field", name)
		require.Contains(t, page.body, "E. Marchetti-Lowe", name)
	}
	page := s.owner.post("/office/cars/new", url.Values{"source": {"none"}, "note": {strings.Repeat("n", 2<<20)}})
	require.Equal(t, http.StatusUnprocessableEntity, page.status)
	require.Contains(t, page.text(), "more than 1 MB")

	piece := s.pieces[0]
	id := newEntry("note", nil)["id"].(string)
	page = s.tablet.post("/bench/pieces/"+piece+"/note", url.Values{"id": {id}, "note": {strings.Repeat("n", 1<<20)}})
	require.Equal(t, http.StatusUnprocessableEntity, page.status)
	require.Contains(t, page.text(), "at most 2000 fit")
	require.Contains(t, page.body, strings.Repeat("n", 1<<20), "what was typed is still there")
	for _, note := range []string{"n\x00\x01", "\xff\xfe", "\u202etxet \U0001f58c"} {
		require.Equal(t, "applied", s.enter(s.tablet, newEntry("note", entry{"piece": piece, "note": note})).Outcome, "%q", note)
	}
	lone := strings.Replace(bodyOf(t, newEntry("note", entry{"piece": piece, "note": "HERE"})), "HERE", `\ud800`, 1)
	require.Contains(t, s.tablet.send("/bench/events", lone).body, "applied")
	require.Equal(t, http.StatusOK, s.tablet.get("/bench/pieces/"+piece).status)
}
