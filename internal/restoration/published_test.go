package restoration

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// readCSV gives the rows of a published table below its header.
func readCSV(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open("../../testdata/" + name)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 1, "the table is empty")
	return rows[1:]
}

// RFC 9562, appendix A: the version 5 example is derived, every example is read.
func TestIDsOfRFC9562(t *testing.T) {
	t.Parallel()
	dns, err := ParseID("6ba7b810-9dad-11d1-80b4-00c04fd430c8")
	require.NoError(t, err)
	derived := 0
	for _, row := range readCSV(t, "formats/uuid_rfc9562_examples.csv") {
		id, err := ParseID(row[1])
		require.NoError(t, err)
		require.Equal(t, strings.ToLower(row[1]), id.String())
		if row[0] == "5" {
			require.Equal(t, id, dns.Derive("www.example.com"))
			derived++
		}
	}
	require.Equal(t, 1, derived)
}

// The IANA time zone database: the hour that a night gives or takes changes neither
// the working day before it nor the one after.
func TestWorkingDaysAcrossIANATransitions(t *testing.T) {
	t.Parallel()
	day := WorkDay{8 * 60, 17 * 60}
	always := Calendar{Days: [7]WorkDay{day, day, day, day, day, day, day}}
	for _, row := range readCSV(t, "formats/iana_dst_transitions_2024.csv") {
		loc, err := time.LoadLocation(row[0])
		require.NoError(t, err)
		change, err := time.Parse(time.RFC3339, row[1])
		require.NoError(t, err)
		before, err := strconv.Atoi(row[2])
		require.NoError(t, err)
		_, offset := change.Add(-time.Second).In(loc).Zone()
		require.Equal(t, before*60, offset, row[0])
		noon := time.Date(change.In(loc).Year(), change.In(loc).Month(), change.In(loc).Day(), 12, 0, 0, 0, loc)
		require.Equal(t, Minutes(18*60), always.Between(noon.AddDate(0, 0, -1), noon.AddDate(0, 0, 1), loc), row[0])
	}
}

// The stock hours against their own sums (common practice, no source): 4.8, 9.5 and
// 22 h; 10 small, 16 medium and 4 large pieces are 288 h, 319 h by three-point mean.
func TestStockHoursAddUp(t *testing.T) {
	t.Parallel()
	sum := map[Size]Estimate{}
	for _, s := range StockRoute().Stages {
		for _, size := range []Size{SizeSmall, SizeMedium, SizeLarge} {
			sum[size] = sum[size].Plus(s.Standard(size))
		}
	}
	require.Equal(t, Minutes(288), sum[SizeSmall].Likely)
	require.Equal(t, Minutes(570), sum[SizeMedium].Likely)
	require.Equal(t, Minutes(1320), sum[SizeLarge].Likely)
	car := 10*sum[SizeSmall].Likely + 16*sum[SizeMedium].Likely + 4*sum[SizeLarge].Likely
	require.InDelta(t, 288, car.Hours(), 1e-9)
	mean := 10*sum[SizeSmall].Mean() + 16*sum[SizeMedium].Mean() + 4*sum[SizeLarge].Mean()
	require.InDelta(t, 319, mean/60, .5)
}

// Three-point mean and deviation (Malcolm, Roseboom, Clark & Fazar 1959): 1, 2 and
// 4.5 h give 2.25 h ± 0.583 h; sixteen such 36 h ± 2.33 h.
func TestThreePointEstimate(t *testing.T) {
	t.Parallel()
	e := Hours3(1, 2, 4.5)
	require.InDelta(t, 2.25, e.Mean()/60, 1e-9)
	require.InDelta(t, .583, e.StdDev()/60, 5e-4)
	require.InDelta(t, 36, 16*e.Mean()/60, 1e-9)
	require.InDelta(t, 2.33, 4*e.StdDev()/60, 5e-3)
}

// Every stage of the stock route with a hazard shows its caution, and every stage of
// the route passes the shop's own check.
func TestStockRouteIsSound(t *testing.T) {
	t.Parallel()
	r := StockRoute()
	require.Empty(t, CheckRoute(r))
	var keys []string
	for _, s := range r.Stages {
		if !s.Repair {
			keys = append(keys, s.Key)
		}
		if s.Key != "fitted" {
			require.NotEmpty(t, s.Cautions, s.Key)
		}
	}
	require.Equal(t, []string{"stripped", "primed", "blocked", "grounded", "grained", "cleared", "cut", "fitted"}, keys)
	require.Less(t, r.Position("repaired"), r.Position("primed"))
	for _, d := range Defects() {
		require.True(t, d.Hours.Valid(), d.Key)
	}
}
