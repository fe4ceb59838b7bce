package office

import (
	"net/http"
	"net/url"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestParseMoment(t *testing.T) {
	t.Parallel()
	away := time.FixedZone("away", 2*60*60)
	at := time.Date(2026, 3, 26, 6, 40, 0, 0, time.UTC)
	for typed, want := range map[string]time.Time{
		"2026-03-26T08:40": at, "2026-03-26T08:40:00": at, "2026-03-26 08:40": at, "26 Mar 2026, 08:40": at, "Thu 26 Mar 2026, 08:40": at,
		"2026-03-27T14:04": noon.Add(4 * time.Minute), // a clock may run ahead a little
	} {
		got, err := parseMoment(typed, noon, away)
		require.NoError(t, err, typed)
		require.True(t, want.Equal(got), typed)
	}
	for typed, says := range map[string]string{
		"2026-03-27T14:10": "has not come yet", "2025-12-20T08:00": "more than 90 days ago", "yesterday": "Write the day and the hour",
		"2026-02-30T08:00": "Write the day and the hour",
	} {
		_, err := parseMoment(typed, noon, away)
		require.ErrorContains(t, err, says, typed)
	}
}

// What happened yesterday is entered today, by the shop's clock.
func TestEntriesMayTellOfEarlier(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
	path := piecePath(pieces[0].ID)
	loc := restoration.StockSettings().Location()
	yesterday := noon.Add(-24 * hour)
	typed := yesterday.In(loc).Format("2006-01-02T15:04")
	tick := f.tickForm(pieces[0])
	tick.Set("when", typed)
	for _, form := range []url.Values{
		tick,
		{"kind": {"note"}, "memo": {"a dent under the lip"}, "memo_when": {typed}},
		{"kind": {"hold"}, "hold_reason": {"a clip is missing"}, "hold_when": {typed}},
	} {
		require.Equal(t, http.StatusSeeOther, f.submit(path+"/entries", form).code, form.Get("kind"))
	}
	piece := f.found(pieces[0].ID)
	require.True(t, yesterday.Equal(piece.Steps[0].DoneAt))
	require.True(t, yesterday.Equal(piece.Holding.Since))
	page := f.page(path)
	require.Contains(t, page.within("past").text(), "arrived 1 d later")

	back := url.Values{"kind": {"send back"}, "defect": {"other"}, "stage": {"stripped"}, "found": {"rust again"},
		"back_when": {noon.Add(hour).In(loc).Format("2006-01-02T15:04")}}
	a := f.submit(path+"/entries", back)
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	again := parsePage(t, a.body)
	require.Contains(t, text(again.one("p", "id", "back_when-error")), "has not come yet")
	require.Equal(t, back.Get("back_when"), attribute(again.one("input", "name", "back_when"), "value"), "what was typed is kept")
	require.Equal(t, "rust again", attribute(again.one("input", "name", "found"), "value"))
	require.Equal(t, "stripped", f.found(piece.ID).Sum.Reached)
}
