package restoration

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestSettingsCheck(t *testing.T) {
	t.Parallel()
	require.Empty(t, StockSettings().Check())
	for name, c := range map[string]struct {
		change func(*Settings)
		fields []string // nil: all right
	}{
		"no name":                 {func(s *Settings) { s.ShopName = " \t" }, []string{"shop_name"}},
		"a zone":                  {func(s *Settings) { s.TimeZone = "Europe/Vienna" }, nil},
		"no zone":                 {func(s *Settings) { s.TimeZone = "" }, []string{"time_zone"}},
		"the server's own zone":   {func(s *Settings) { s.TimeZone = "Local" }, []string{"time_zone"}},
		"a zone nowhere":          {func(s *Settings) { s.TimeZone = "Atlantis/Port" }, []string{"time_zone"}},
		"a zone up the tree":      {func(s *Settings) { s.TimeZone = "../../etc/passwd" }, []string{"time_zone"}},
		"US units":                {func(s *Settings) { s.Units = US }, nil},
		"cubits":                  {func(s *Settings) { s.Units = "cubits" }, []string{"units"}},
		"for nothing":             {func(s *Settings) { s.RateCents = 0 }, nil},
		"10,000 an hour":          {func(s *Settings) { s.RateCents = 1_000_000 }, nil},
		"a cent more":             {func(s *Settings) { s.RateCents = 1_000_001 }, []string{"rate"}},
		"a negative rate":         {func(s *Settings) { s.RateCents = -1 }, []string{"rate"}},
		"no currency":             {func(s *Settings) { s.Currency = "" }, nil},
		"a currency of 4":         {func(s *Settings) { s.Currency = "R₂€₂" }, nil},
		"a currency of 5":         {func(s *Settings) { s.Currency = "coins" }, []string{"currency"}},
		"a blank in the currency": {func(s *Settings) { s.Currency = "$ " }, []string{"currency"}},
		"all day":                 {func(s *Settings) { s.Calendar.Days[6] = WorkDay{0, 1440} }, nil},
		"past midnight":           {func(s *Settings) { s.Calendar.Days[6] = WorkDay{0, 1441} }, []string{"day-6"}},
		"before midnight":         {func(s *Settings) { s.Calendar.Days[0] = WorkDay{-1, 60} }, []string{"day-0"}},
		"closes before it opens":  {func(s *Settings) { s.Calendar.Days[1] = WorkDay{600, 599} }, []string{"day-1"}},
		"closed all week":         {func(s *Settings) { s.Calendar.Days = [7]WorkDay{} }, nil},
		"a holiday":               {func(s *Settings) { s.Calendar.Holidays = []string{"2028-02-29"} }, nil},
		"no limit of timers":      {func(s *Settings) { s.Timers.Limit = 0 }, []string{"timer_limit"}},
		"a timer of 24 h":         {func(s *Settings) { s.Timers.Limit = 24 * 60 }, nil},
		"a timer of over 24 h":    {func(s *Settings) { s.Timers.Limit = 24*60 + 1 }, []string{"timer_limit"}},
		"no such day":             {func(s *Settings) { s.Calendar.Holidays = []string{"2026-02-29"} }, []string{"holidays"}},
		"another order":           {func(s *Settings) { s.Calendar.Holidays = []string{"25.12.2026"} }, []string{"holidays"}},
		"1,000 holidays":          {func(s *Settings) { s.Calendar.Holidays = slices.Repeat([]string{"2026-12-25"}, 1000) }, nil},
		"1,001 holidays":          {func(s *Settings) { s.Calendar.Holidays = slices.Repeat([]string{"2026-12-25"}, 1001) }, []string{"holidays"}},
		"factors at the bounds":   {func(s *Settings) { s.Factors.Fixed = [3]float64{0.1, 0.1, 10} }, nil},
		"a factor too small":      {func(s *Settings) { s.Factors.Grade[0] = 0.09 }, []string{"grade-1"}},
		"a factor too big":        {func(s *Settings) { s.Factors.Fixed[2] = 10.1 }, []string{"fixed-2"}},
		"a factor of no number":   {func(s *Settings) { s.Factors.Grade[5] = math.NaN() }, []string{"grade-6"}},
		"factors that fall":       {func(s *Settings) { s.Factors.Fixed = [3]float64{2, 1, 3} }, []string{"fixed-1"}},
		"several at once":         {func(s *Settings) { s.ShopName, s.RateCents = "", -1 }, []string{"shop_name", "rate"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := StockSettings()
			c.change(&s)
			require.Equal(t, c.fields, fieldsAt(t, s.Check()))
		})
	}
}

// fieldsAt gives the fields at fault, and requires a sentence at each.
func fieldsAt(t *testing.T, found []*Problem) []string {
	t.Helper()
	var fields []string
	for _, p := range found {
		require.Equal(t, TroubleInvalid, p.Trouble)
		require.Regexp(t, `^.+\.$`, p.Message)
		fields = append(fields, p.Field)
	}
	return fields
}
