package restoration

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

func dateOf(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 0, 0, 0, 0, time.UTC) }

func TestCertificateComesDue(t *testing.T) {
	t.Parallel()
	training := CertificateKinds()[0]
	require.Equal(t, 5, training.Years)
	c := Certificate{PersonID: 1, Kind: training.Name, DoneOn: dateOf(2021, 6, 30)}
	require.Equal(t, CertificateValid, c.State(dateOf(2050, 1, 1)), "one without an end")
	c.ValidUntil = training.Until(c.DoneOn)
	require.Equal(t, dateOf(2026, 6, 30), c.ValidUntil)
	// 60 days before 30 June is 1 May.
	for today, want := range map[time.Time]CertificateState{
		dateOf(2026, 4, 30): CertificateValid, dateOf(2026, 5, 1): CertificateDue,
		dateOf(2026, 6, 30): CertificateDue, dateOf(2026, 7, 1): CertificateRunOut,
	} {
		require.Equal(t, want, c.State(today), today)
	}
	require.Empty(t, c.Check())
	require.Equal(t, dateOf(2027, 6, 30), CertificateKinds()[2].Until(dateOf(2026, 6, 30)), "a fit test holds a year")
}

func TestOnlyTheLongestCertificateCounts(t *testing.T) {
	t.Parallel()
	day := func(year int) time.Time { return time.Date(year, 4, 20, 0, 0, 0, 0, time.UTC) }
	list := []Certificate{
		{ID: 1, PersonID: 7, Kind: "Crane", ValidUntil: day(2025)},
		{ID: 2, PersonID: 8, Kind: "Crane", ValidUntil: day(2024)},
		{ID: 3, PersonID: 7, Kind: "crane", ValidUntil: day(2026)}, // renewed, written otherwise
		{ID: 4, PersonID: 7, Kind: "CRANE", ValidUntil: day(2023)},
		{ID: 5, PersonID: 7, Kind: "First aid"}, // does not run out
		{ID: 6, PersonID: 7, Kind: "First aid", ValidUntil: day(2030)},
		{ID: 7, PersonID: 8, Kind: "First aid", ValidUntil: day(2024)},
		{ID: 8, PersonID: 8, Kind: "First aid"},
	}
	var ids []int64
	for _, c := range LastingCertificates(list) {
		ids = append(ids, c.ID)
	}
	require.Equal(t, []int64{3, 2, 5, 8}, ids)
	require.Empty(t, LastingCertificates(nil))
}

func TestCertificateThatCannotBe(t *testing.T) {
	t.Parallel()
	c := Certificate{ValidUntil: dateOf(2020, 1, 1), Note: string(make([]byte, MaxNote+1))}
	fields := func(found []*Problem) (names []string) {
		for _, p := range found {
			names = append(names, p.Field)
		}
		return names
	}
	require.Equal(t, []string{"kind", "done", "note"}, fields(c.Check()))
	c = Certificate{Kind: "fit test", DoneOn: dateOf(2026, 1, 2), ValidUntil: dateOf(2026, 1, 1)}
	require.Equal(t, []string{"until"}, fields(c.Check()))
}

// 500 mL at 420 g/L hold 210 g, 250 mL 105; the first coat is of April in New York.
func TestUsageByMonth(t *testing.T) {
	t.Parallel()
	newYork, err := time.LoadLocation("America/New_York")
	require.NoError(t, err)
	may1 := dateOf(2026, 5, 1)
	clear := Sprayed{Material: 1, Name: "Clear A", Kind: coating.Clear2K, VOCGramsPerL: 420}
	at := func(s Sprayed, when time.Time, ml float64) Sprayed {
		s.At, s.ML = when, ml
		return s
	}
	coats := []Sprayed{
		at(clear, may1.Add(30*time.Hour), 500), at(clear, may1.Add(3*time.Hour), 250), at(clear, may1.Add(50*time.Hour), 250),
		at(Sprayed{Material: 2, Name: "Clear C", Kind: coating.Clear2K}, may1.Add(50*time.Hour), 40),
		at(Sprayed{}, may1.Add(50*time.Hour), 10),
	}
	lines := UsageByMonth(coats, newYork)
	require.Equal(t, []Usage{
		{Month: dateOf(2026, 4, 1), Kind: coating.Clear2K, Material: 1, Name: "Clear A", Coats: 1, ML: 250, VOCGrams: 105},
		{Month: may1, Kind: coating.Clear2K, Material: 1, Name: "Clear A", Coats: 2, ML: 750, VOCGrams: 315},
		{Month: may1, Kind: coating.Clear2K, Material: 2, Name: "Clear C", Coats: 1, ML: 40, Unstated: 40},
		{Month: may1, Kind: coating.OtherKind, Coats: 1, ML: 10, Unstated: 10},
	}, lines)
	require.Equal(t, []Usage{
		{Month: dateOf(2026, 4, 1), Kind: coating.Clear2K, Coats: 1, ML: 250, VOCGrams: 105},
		{Month: may1, Kind: coating.Clear2K, Coats: 3, ML: 790, VOCGrams: 315, Unstated: 40},
		{Month: may1, Kind: coating.OtherKind, Coats: 1, ML: 10, Unstated: 10},
	}, UsageByKind(lines))
	require.Equal(t, "Clear A", lines[0].Name, "what was given stays")
}
