package office

import (
	"net/http"
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestParseSettings(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		change map[string]string
		fields []string // at which something is wrong
	}{
		"as shipped":               {nil, nil},
		"no name":                  {map[string]string{"shop_name": " "}, []string{"shop_name"}},
		"a zone of nowhere":        {map[string]string{"time_zone": "Middle/Earth"}, []string{"time_zone"}},
		"the machine's own zone":   {map[string]string{"time_zone": "Local"}, []string{"time_zone"}},
		"no zone":                  {map[string]string{"time_zone": ""}, []string{"time_zone"}},
		"a zone out of its folder": {map[string]string{"time_zone": "../../etc/passwd"}, []string{"time_zone"}},
		"unknown units":            {map[string]string{"units": "cubits"}, []string{"units"}},
		"a negative rate":          {map[string]string{"rate": "-5"}, []string{"rate"}},
		"a rate in words":          {map[string]string{"rate": "lots"}, []string{"rate"}},
		"a long currency":          {map[string]string{"currency": "doubloons"}, []string{"currency"}},
		"labels for nowhere":       {map[string]string{"labels_address": "shop.example"}, []string{"labels_address"}},
		"an address on labels":     {map[string]string{"labels_address": " https://trim.example "}, nil},
		"a day backwards":          {map[string]string{"day-1": "17:00", "day-1-to": "08:00"}, []string{"day-1"}},
		"half a day":               {map[string]string{"day-2-to": ""}, []string{"day-2"}},
		"no hour":                  {map[string]string{"day-3": "noon"}, []string{"day-3"}},
		"two days off":             {map[string]string{"holidays": "25 Dec 2026\n2026-12-26"}, nil},
		"a day off of no date":     {map[string]string{"holidays": "Christmas"}, []string{"holidays"}},
		"a factor of nought":       {map[string]string{"grade-3": "0"}, []string{"grade-3"}},
		"no factor":                {map[string]string{"grade-3": ""}, []string{"grade-3"}},
		"a factor that is none":    {map[string]string{"fixed-0": "NaN"}, []string{"fixed-0"}},
		"factors that fall":        {map[string]string{"fixed-0": "3"}, []string{"fixed-1"}},
		"several at once":          {map[string]string{"rate": "x", "grade-1": "x", "units": ""}, []string{"rate", "grade-1", "units"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f := &form{values: settingsValues(restoration.StockSettings())}
			for field, v := range c.change {
				f.values.Set(field, v)
			}
			parseSettings(f, restoration.StockSettings())
			var fields []string
			for _, e := range f.faults {
				fields = append(fields, e.Name)
			}
			require.ElementsMatch(t, c.fields, fields, "%v", f.faults)
		})
	}
}

func TestZoneInAnyCase(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]string{"europe/berlin": "Europe/Berlin", " America/new york ": "America/New_York", "Middle/Earth": "Middle/Earth"} {
		f := &form{values: settingsValues(restoration.StockSettings())}
		f.values.Set("time_zone", typed)
		require.Equal(t, want, parseSettings(f, restoration.StockSettings()).TimeZone)
		require.Equal(t, typed, f.get("time_zone"), "what was typed stays")
	}
}

func TestSettingsRoundTrip(t *testing.T) {
	t.Parallel()
	s := restoration.StockSettings()
	s.ShopName, s.TimeZone, s.Units, s.Currency = "Quill & Daughters", "America/Chicago", restoration.US, "EUR"
	s.Calendar.Holidays = []string{"2026-12-25", "2026-12-26"}
	s.Calendar.Days[6] = restoration.WorkDay{Open: 0, Close: 24 * 60}
	f := &form{values: settingsValues(s)}
	require.Equal(t, s, parseSettings(f, restoration.StockSettings()))
	require.True(t, f.ok(), "%v", f.faults)
}

func TestNoWorkingDay(t *testing.T) {
	t.Parallel()
	s := restoration.StockSettings()
	s.Calendar = restoration.Calendar{}
	f := &form{values: settingsValues(s)}
	parseSettings(f, restoration.StockSettings())
	require.Contains(t, f.error("day-1"), "one working day")
}

func TestSettingsPage(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	require.Contains(t, b.get("/office/settings").body, "Our shop")
	v := settingsValues(restoration.StockSettings())
	v.Set("shop_name", `<script>alert(1)</script>`)
	v.Set("rate", "lots")
	a := b.post("/office/settings", v)
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, `value="lots"`)
	require.Contains(t, a.body, "Write an amount such as 85")
	require.Contains(t, a.body, `href="#rate"`)
	require.NotContains(t, a.body, "<script>alert")
	require.Contains(t, a.body, "&lt;script&gt;alert(1)")

	require.Contains(t, a.body, `<option value="Europe/Berlin">`)

	v.Set("rate", "92.50")
	v.Set("time_zone", "Middle/Earth")
	a = b.post("/office/settings", v)
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, `value="Middle/Earth"`)
	require.Contains(t, a.body, "is no time zone known here")
	v.Set("time_zone", "europe/berlin")
	a = b.post("/office/settings", v)
	require.Equal(t, http.StatusSeeOther, a.code, a.body)
	saved, err := b.store.Settings(t.Context())
	require.NoError(t, err)
	require.Equal(t, int64(92_50), saved.RateCents)
	require.Equal(t, "Europe/Berlin", saved.TimeZone)
	page := b.get(a.to)
	require.Contains(t, page.body, "The settings are saved.")
	require.NotContains(t, page.body, "<script>alert")
	require.NotContains(t, b.get("/office/settings").body, "The settings are saved.", "a notice is said once")

	require.Equal(t, http.StatusUnprocessableEntity, b.post("/office/settings", url.Values{}).code, "a form without a field")
}
