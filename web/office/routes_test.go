package office

import (
	"net/http"
	"net/url"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/restoration"
)

func TestRouteRoundTrip(t *testing.T) {
	t.Parallel()
	stock := restoration.StockRoute()
	stock.ID = 7
	f := &form{values: routeValues(stock)}
	require.Equal(t, stock, parseRoute(f, stock))
	require.True(t, f.ok(), "%v", f.faults)
}

func TestParseRoute(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		change map[string]string
		field  string // at which something is wrong; "" nothing is
	}{
		"as shipped":                {nil, ""},
		"no name":                   {map[string]string{"name": " "}, "name"},
		"no stages":                 {map[string]string{"count": "0"}, "stages"},
		"a count that is none":      {map[string]string{"count": "lots"}, "stages"},
		"a count beyond all bounds": {map[string]string{"count": "999999999"}, "stages"},
		"a negative count":          {map[string]string{"count": "-1"}, "stages"},
		"a stage without name":      {map[string]string{"stages.2.name": ""}, "stages.2.name"},
		"hours in words":            {map[string]string{"stages.0.small": "some"}, "stages.0.small"},
		"hours below nothing":       {map[string]string{"stages.0.small.likely": "-1"}, "stages.0.small.likely"},
		"hours without end":         {map[string]string{"stages.0.small.high": "1e9"}, "stages.0.small.high"},
		"hours that fall":           {map[string]string{"stages.3.large": "99"}, "stages.3.large"},
		"a wait with its unit":      {map[string]string{"stages.6.after.fit_min": "14 d"}, ""},
		"a wait of a lifetime":      {map[string]string{"stages.6.after.fit_min": "4000 d"}, "stages.6.after.fit_min"},
		"a window that is shut":     {map[string]string{"stages.6.after.max_recoat_min": "1 h"}, "stages.6.after.max_recoat_min"},
		"a look that is none":       {map[string]string{"stages.1.look": "chrome"}, "stages.1.look"},
		"a need that is none":       {map[string]string{"stages.1.need": "luck"}, "stages.1.need"},
		"a key made by hand":        {map[string]string{"stages.1.key": "A Key"}, "stages.1.key"},
		"two repairs":               {map[string]string{"stages.3.repair": "on"}, "stages"},
		"markup in every text":      {map[string]string{"name": "<b>", "stages.1.name": "<i>", "stages.1.purpose": "'; --", "stages.1.checks": "<u>"}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f := &form{values: routeValues(restoration.StockRoute())}
			for k, v := range c.change {
				f.values.Set(k, v)
			}
			parseRoute(f, restoration.StockRoute())
			require.Equal(t, c.field == "", f.ok(), "%v", f.faults)
			if c.field != "" {
				require.NotEmpty(t, f.error(c.field), "%v", f.faults)
			}
		})
	}
}

// A caution that ships can be added to, and not taken away.
func TestShippedCautionsStay(t *testing.T) {
	t.Parallel()
	stock := restoration.StockRoute()
	shipped := stock.Stages[0].Cautions
	require.NotEmpty(t, shipped)
	f := &form{values: routeValues(stock)}
	f.values.Set("stages.0.cautions", "Mind the cat.")
	require.Equal(t, append(slices.Clone(shipped), "Mind the cat."), parseRoute(f, stock).Stages[0].Cautions)
	f.values.Set("stages.0.cautions", "")
	require.Equal(t, shipped, parseRoute(f, stock).Stages[0].Cautions)
	f.values.Set("stages.0.name", "Bare")
	require.Equal(t, shipped, parseRoute(f, stock).Stages[0].Cautions, "a new name doesn't shake them off")
}

// A check keeps its key while its text stands, because the ledger names it by that.
func TestChecksKeepTheirKeys(t *testing.T) {
	t.Parallel()
	stock := restoration.StockRoute()
	f := &form{values: routeValues(stock)}
	f.values.Set("stages.0.checks", "Brand new\n"+stock.Stages[0].Checks[1].Text)
	checks := parseRoute(f, stock).Stages[0].Checks
	require.Equal(t, []restoration.Check{{Key: "brand-new", Text: "Brand new"}, stock.Stages[0].Checks[1]}, checks)
}

// Arranging stages changes their order and nothing else that was typed.
func TestArrange(t *testing.T) {
	t.Parallel()
	names := func(f *form) []string {
		var out []string
		for _, s := range f.stages() {
			out = append(out, s.Get("name"))
		}
		return out
	}
	for act, want := range map[string][]string{
		"up.1": {"b", "a", "c"}, "down.1": {"a", "c", "b"}, "remove.1": {"a", "c"}, "add": {"a", "b", "c", ""},
		"up.0": {"a", "b", "c"}, "down.2": {"a", "b", "c"}, "up.99": {"a", "b", "c"}, "down.-5": {"a", "b", "c"},
	} {
		f := &form{values: url.Values{"name": {"R"}, "count": {"3"}, "stages.0.name": {"a"}, "stages.1.name": {"b"}, "stages.2.name": {"c"}}}
		require.True(t, f.arrange(act), act)
		require.Equal(t, want, names(f), act)
		require.Equal(t, "R", f.get("name"))
	}
	for _, act := range []string{"", "save", "remove.3", "remove.-1", "sideways.1"} {
		f := &form{values: url.Values{"count": {"3"}, "stages.0.name": {"a"}}}
		require.False(t, f.arrange(act), act)
	}
}

func TestArrangeThereAndBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		f := &form{values: routeValues(restoration.StockRoute())}
		n := len(f.stages())
		i := rapid.IntRange(1, n-1).Draw(t, "stage")
		before := f.stages()
		require.True(t, f.arrange("up."+formatID(int64(i))))
		require.NotEqual(t, before, f.stages())
		require.True(t, f.arrange("down."+formatID(int64(i-1))))
		require.Equal(t, before, f.stages())
	})
}

func TestRoutes(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	require.Contains(t, b.get(routesPath).body, "Wood-grained steel")
	stock := b.routes()[0]
	page := b.get(routePath(stock.ID))
	require.Contains(t, page.text(), stock.Stages[0].Cautions[0])

	f := &form{values: routeValues(stock)}
	f.values.Set("act", "add")
	a := b.post(routePath(stock.ID), f.values)
	require.Equal(t, http.StatusOK, a.code)
	require.Contains(t, a.body, `name="stages.9.name"`)
	require.Equal(t, stock, b.routes()[0], "nothing was kept")

	f.values.Set("act", "save")
	f.values.Set("stages.0.name", "<script>alert(1)</script>")
	f.values.Set("stages.0.small", "many")
	a = b.post(routePath(stock.ID), f.values)
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, `value="many"`)
	require.NotContains(t, a.body, "<script>alert")

	f.values.Set("stages.0.name", "Bare")
	f.values.Set("stages.0.small", "0.25")
	a = b.post(routePath(stock.ID), f.values)
	require.Equal(t, http.StatusSeeOther, a.code, a.body)
	require.Equal(t, "Bare", b.routes()[0].Stages[0].Name)
	require.Equal(t, "stripped", b.routes()[0].Stages[0].Key)
}

func TestRouteInUseGetsANewVersion(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	require.Equal(t, http.StatusSeeOther, b.post(newCarPath, newCarValues(fromBody)).code)
	stock := b.routes()[0]
	f := &form{values: routeValues(stock)}
	f.values.Set("stages.0.purpose", "Bright metal")
	a := b.post(routePath(stock.ID), f.values)
	require.Equal(t, http.StatusSeeOther, a.code, a.body)
	require.Contains(t, b.get(a.to).body, "Saved as version 2. Pieces that were started before keep version 1.")
	_, pieces := b.car("26-001")
	require.Equal(t, stock.ID, pieces[0].RouteID)
	require.Contains(t, b.get(routePath(stock.ID)).text(), "can't be changed")
	a = b.post(routePath(stock.ID), f.values)
	require.Equal(t, http.StatusUnprocessableEntity, a.code, "an old version stays as it is")
	require.Contains(t, a.body, "Bright metal", "and what was typed isn't lost")
}

func TestRouteList(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	stock := b.routes()[0]
	a := b.post(routePath(stock.ID)+"/copy", nil)
	require.Equal(t, http.StatusSeeOther, a.code)
	require.Contains(t, b.get(a.to).body, "Copy of Wood-grained steel")
	made := b.routes()[1]

	require.Equal(t, routesPath, b.post(routePath(made.ID)+"/up", nil).to)
	require.Equal(t, made.ID, b.routes()[0].ID)
	require.Equal(t, routesPath, b.post(routePath(made.ID)+"/up", nil).to, "further up is nowhere")
	require.Equal(t, routesPath, b.post(routePath(made.ID)+"/down", nil).to)
	require.Equal(t, stock.ID, b.routes()[0].ID)

	require.Equal(t, http.StatusUnprocessableEntity, b.post(routePath(made.ID)+"/retire", nil).code, "not without a tick")
	require.Equal(t, routesPath, b.post(routePath(made.ID)+"/retire", url.Values{"sure": {"on"}}).to)
	require.Len(t, b.routes(), 1)
	require.Equal(t, http.StatusConflict, b.post(routePath(stock.ID)+"/retire", url.Values{"sure": {"on"}}).code, "the last one stays")
	require.Contains(t, b.get(routesPath).body, "can be brought back until Sun 26 Apr 2026")
	require.Equal(t, routesPath, b.post(routePath(made.ID)+"/restore", nil).to)
	require.Len(t, b.routes(), 2)
	require.NotContains(t, b.get(routesPath).body, "can be brought back")
	require.Equal(t, http.StatusNotFound, b.get(routesPath+"/99").code)
}

func TestNewRoute(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	require.Equal(t, http.StatusOK, b.get(routesPath+"/new").code)
	f := &form{values: url.Values{"name": {"Plated"}}}
	stage := newStageValues()
	stage.Set("name", "Polished bare")
	f.setStages([]url.Values{stage})
	a := b.post(routesPath+"/new", f.values)
	require.Equal(t, http.StatusSeeOther, a.code, a.body)
	made := b.routes()[1]
	require.Equal(t, "plated", made.Key)
	require.Equal(t, "polished-bare", made.Stages[0].Key)
	f.values.Set("name", "plated")
	a = b.post(routesPath+"/new", f.values)
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, "There is a route of that name already")
}

func (b *shopWindow) routes() []restoration.Route {
	b.t.Helper()
	all, err := b.store.Routes(b.t.Context())
	require.NoError(b.t, err)
	return all
}
