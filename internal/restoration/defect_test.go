package restoration

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestDefectsAreWhole(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	route := StockRoute()
	for _, d := range Defects() {
		require.False(t, seen[d.Key] || seen[d.Name], d.Key)
		seen[d.Key], seen[d.Name] = true, true
		require.NotEmpty(t, d.Name)
		require.NotEmpty(t, d.Sign)
		found, ok := FindDefect(d.Key)
		require.True(t, ok)
		require.Equal(t, d, found)
		if d.Key == DefectOther {
			continue
		}
		require.NotEmpty(t, d.Found, d.Key)
		if made := d.MadeAt(); made == "" {
			require.Contains(t, []string{"fisheyes", "dry-spray"}, d.Key, "made wherever it is sprayed")
		} else {
			require.LessOrEqual(t, slices.Index(looksInOrder(route), made), slices.Index(looksInOrder(route), d.Found[len(d.Found)-1]), "%s is made after it is found", d.Key)
		}
		require.True(t, d.Hours.Valid() && d.Hours.Low > 0, d.Key)
		for _, u := range []Units{Metric, US} {
			require.True(t, len(d.CausesIn(u)) >= 2 && len(d.CausesIn(u)) <= 4, d.Key)
			require.NotRegexp(t, map[Units]string{Metric: `\bmil\b`, US: "µm"}[u], d.CausesIn(u), "in the shop's unit alone")
		}
		back := func(l Look) int {
			for i, s := range route.Stages {
				if s.Look == l {
					return i
				}
			}
			return -1
		}
		require.GreaterOrEqual(t, back(d.Back), 0, d.Key)
		last := -1
		for _, l := range d.Found {
			last = max(last, back(l))
		}
		if d.Back != LookCut { // a run found on fresh clear goes "back" to the cut
			require.LessOrEqual(t, back(d.Back), last, "%s goes back to a stage after it is found", d.Key)
		}
	}
}

func looksInOrder(r Route) (list []Look) {
	for _, s := range r.Stages {
		list = append(list, s.Look)
	}
	return list
}

// The ledger holds these keys: they stay.
func TestDefectKeysOfOldEntriesStay(t *testing.T) {
	t.Parallel()
	for _, key := range []string{"rust-through", "pinholes", "sand-through", "scratch-swelling", "colour-off", "figure-wrong", "lifting",
		"fisheyes", "run", "nib", "orange-peel", "pop", "die-back", "cut-through", "delamination", "chip", "other"} {
		_, ok := FindDefect(key)
		require.True(t, ok, key)
	}
	_, ok := FindDefect("gremlins")
	require.False(t, ok)
}

func TestDefectStats(t *testing.T) {
	t.Parallel()
	row := func(at time.Time, defect, found, back, material string, person int64, name string, hours float64) DefectRow {
		return DefectRow{At: at, Defect: defect, Found: found, Back: back, Material: material, PersonID: person, Person: name, Hours: *mins(hours)}
	}
	sums := DefectStats([]DefectRow{
		row(dateOf(2026, 5, 2), "run", "Cleared", "Cut", "Clear A", 1, "Ada", .5),
		row(dateOf(2026, 4, 2), "run", "Cleared", "Cut", "Clear A", 2, "Ben", .5),
		row(dateOf(2026, 5, 9), "cut-through", "Cut", "Grained", "Clear A", 3, "Ada", 6),
		row(dateOf(2026, 5, 9), "goblins", "Cut", "Grained", "", 0, "", 1),
	}, time.UTC)
	require.Equal(t, 4, sums.Count)
	require.Equal(t, Minutes(480), sums.Hours, ".5 + .5 + 6 + 1 h")
	require.Equal(t, []DefectTally{{"Cut through into the grain", 1, 360}, {"Run", 2, 60}, {"goblins", 1, 60}}, sums.ByDefect)
	require.Equal(t, []DefectTally{{"Cut", 2, 420}, {"Cleared", 2, 60}}, sums.ByFound)
	require.Equal(t, []DefectTally{{"Grained", 2, 420}, {"Cut", 2, 60}}, sums.ByBack)
	require.Equal(t, []DefectTally{{"Clear A", 3, 420}, {NotLogged, 1, 60}}, sums.ByMaterial)
	require.Equal(t, []DefectTally{{"Ada", 1, 360}, {NotLogged, 1, 60}, {"Ada", 1, 30}, {"Ben", 1, 30}}, sums.ByPerson, "two people of one name are two")
	require.Equal(t, []DefectTally{{"Apr 2026", 1, 30}, {"May 2026", 3, 450}}, sums.ByMonth)
	for _, list := range [][]DefectTally{sums.ByDefect, sums.ByFound, sums.ByBack, sums.ByMaterial, sums.ByPerson, sums.ByMonth} {
		total := DefectTally{}
		for _, x := range list {
			total.Count += x.Count
			total.Hours += x.Hours
		}
		require.Equal(t, DefectTally{Count: sums.Count, Hours: sums.Hours}, total)
	}
}

func TestCausesHaveTheShopsUnit(t *testing.T) {
	t.Parallel()
	d, _ := FindDefect("delamination")
	require.Equal(t, "under 50 µm of clear, or over 75 µm in a session", d.CausesIn(Metric)[2])
	require.Equal(t, "under 2 mil of clear, or over 3 mil in a session", d.CausesIn(US)[2])
	require.Len(t, d.CausesIn(US), 3)
	require.Len(t, d.Causes, 2, "asking adds nothing to the table")
}

// Where the film says that the clear is too thin, that stands first, and nothing is lost.
func TestDefectsOfAThinClearComeFirst(t *testing.T) {
	t.Parallel()
	for _, look := range []Look{LookCleared, LookCut, LookOther} {
		here, others := DefectsAt(look)
		first, rest := ThinFirst(here, others)
		require.Equal(t, "too-thin", first[0].Key, look)
		require.Equal(t, "cut-through", first[1].Key, look)
		require.ElementsMatch(t, Defects(), slices.Concat(first, rest), look)
		require.Equal(t, DefectOther, rest[len(rest)-1].Key, look)
	}
}

// What is found at the stage stands first, then what sends a piece back to it; nothing
// is lost or said twice, and what the table doesn't hold is the last.
func TestDefectsAt(t *testing.T) {
	t.Parallel()
	keys := func(list []Defect) (keys []string) {
		for _, d := range list {
			keys = append(keys, d.Key)
		}
		return keys
	}
	here, _ := DefectsAt(LookBlocked)
	require.Equal(t, []string{"rust-through", "dent-missed", "pinholes", "sand-through", "scratch-swelling"}, keys(here), "the last one sends back to blocked")
	here, _ = DefectsAt(LookGrained)
	require.Equal(t, []string{"scratch-swelling", "figure-wrong", "cut-through"}, keys(here))
	here, others := DefectsAt(LookOther)
	require.Empty(t, here)
	require.Equal(t, keys(Defects()), keys(others), "in the order of the table")
	for _, look := range Looks() {
		here, others := DefectsAt(look)
		require.ElementsMatch(t, keys(Defects()), keys(slices.Concat(here, others)), look)
		require.Equal(t, DefectOther, others[len(others)-1].Key)
		for _, d := range others {
			require.False(t, slices.Contains(d.Found, look) || d.Back == look && d.Key != DefectOther, "%s at %s", d.Key, look)
		}
	}
}
