package bench

import (
	"html"
	"net/url"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestCautionsComeBeforeTheFirstWorkOfTheDay(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	const shown = "Before you begin: Stripped"
	page := b.get(path).body
	require.Contains(t, page, shown)
	require.Contains(t, html.UnescapeString(page), restoration.CautionCloses)
	require.Contains(t, page, "29 CFR 1910.1025", "the standard's name")

	looks := b.get(path + "?look=1").body
	for _, mark := range []string{"from memory", "ommon practice", "no source"} {
		require.NotContains(t, page, mark, "how well a source is known is the office's")
		require.NotContains(t, looks, mark)
	}
	require.NotContains(t, looks, shown, "who only looks may look")
	require.Contains(t, looks, "Read the cautions")

	got := b.post("/bench/cautions", formOf(t, page, "/bench/cautions", nil))
	require.Equal(t, path, got.path)
	require.NotContains(t, got.body, shown)
	require.NotContains(t, b.get(piecePath(s.pieces["Glove-box door"].ID)).body, shown, "read for every piece at the stage")
	require.Contains(t, s.signIn(s.ben).get(path).body, shown, "each person reads them")
	require.NotContains(t, s.signIn(s.ada).get(path).body, shown, "and not again after another was at the tablet")

	s.pass(15 * time.Hour) // midnight
	require.Contains(t, s.signIn(s.ada).get(path).body, shown, "again the next day")
}

func TestACoatWaitsForItsCautions(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.clearNext("Ash tray")
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	const shown = "Before you begin: Cleared"
	require.Contains(t, b.get(path).body, shown)
	page := b.get(path + "/coat")
	require.Contains(t, page.body, shown, "first things first")
	got := b.post("/bench/cautions", formOf(t, page.body, "/bench/cautions", nil))
	require.Equal(t, path+"/coat", got.path, "on to the page that was asked for")
	require.NotContains(t, got.body, shown)
	require.Contains(t, got.body, "Save coat")
}

func TestAPassWaitsForItsCautions(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.advance("Ash tray", s.ada, 6)
	s.pass(72 * time.Hour)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	page := b.get(path + "/cut")
	require.Contains(t, page.body, "Before you begin: Cut")
	got := b.post("/bench/cautions", formOf(t, page.body, "/bench/cautions", nil))
	require.Equal(t, path+"/cut", got.path)
	require.NotContains(t, got.body, "Before you begin")
	require.NotContains(t, b.get(path+"/measure").body, "Before you begin", "who measures does no harm")
}

func TestCautionsLeadNowhereElse(t *testing.T) {
	t.Parallel()
	for then, want := range map[string]string{
		"/bench/pieces/a#done":        "/bench/pieces/a#done",
		"/bench/together/x.y.1.0":     "/bench/together/x.y.1.0",
		"https://example.org/bench/x": "/bench",
		"//example.org/bench/":        "/bench",
		"/office":                     "/bench",
		"/bench/../office":            "/bench",
		"":                            "/bench",
		"%zz":                         "/bench",
	} {
		require.Equal(t, want, onBench(then), then)
	}
	s := setup(t)
	require.Equal(t, 422, s.signIn(s.ada).post("/bench/cautions", url.Values{"stage": {""}}).status)
}
