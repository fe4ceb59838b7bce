package office

import (
	"net/http"
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
	"scumble/internal/colour"
	"scumble/internal/restoration"
)

// finishShop is what a finish is chosen from in the pure tests.
func finishShop() finishData {
	return finishData{
		Materials: []restoration.Material{
			{ID: 3, Material: coating.Material{Name: "Sea ground", Layer: coating.Ground}},
			{ID: 4, Material: coating.Material{Name: "Marsh clear", Layer: coating.Clear}},
			{ID: 5, Retired: noon, Material: coating.Material{Name: "Old clear", Layer: coating.Clear}},
		},
		Lots: []restoration.Lot{{ID: 8, Material: 3, Number: "G-8"}, {ID: 9, Material: 3, Part: 1, Number: "G-9"}, {ID: 10, Material: 4, Number: "C-1"}},
	}
}

func fullScheme() restoration.Scheme {
	s := restoration.StockScheme(1, "Burr panels")
	s.ID, s.ClearCoats, s.BuildUM = 7, 5, 133.35
	s.Gloss, s.Ground = &colour.Gloss{GU: 84.5, Angle: 20}, &colour.Lab{L: 52.3, A: -18, B: 32.25}
	s.Materials = map[coating.Layer]int64{coating.Ground: 3, coating.Clear: 5}
	s.GroundLot = 8
	return s
}

func TestFinishRoundTrip(t *testing.T) {
	t.Parallel()
	bare := restoration.StockScheme(1, "")
	bare.Materials = map[coating.Layer]int64{}
	for _, u := range []units{unitsOf(restoration.Metric), unitsOf(restoration.US)} {
		for _, s := range []restoration.Scheme{fullScheme(), bare} {
			f := &form{values: schemeValues(s, u.film)}
			require.Equal(t, s, parseFinish(f, s, finishShop(), u))
			require.True(t, f.ok(), "%v", f.faults)
		}
	}
}

func TestParseFinish(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		change map[string]string
		field  string
		says   string
	}{
		"as it was":               {nil, "", ""},
		"nothing measured":        {map[string]string{"ground_l": "", "ground_a": " ", "ground_b": "", "gloss": ""}, "", ""},
		"decimal commas":          {map[string]string{"ground_l": "52,3", "build": "133,35", "gloss": "84,5"}, "", ""},
		"no coats typed":          {map[string]string{"clear_coats": ""}, "clear_coats", "0 asks for none"},
		"coats in words":          {map[string]string{"clear_coats": "four"}, "clear_coats", "whole number"},
		"coats below nothing":     {map[string]string{"clear_coats": "-1"}, "clear_coats", "from 0 to 200"},
		"a build below the floor": {map[string]string{"build": "40"}, "build", "at least the floor"},
		"a floor of a yard":       {map[string]string{"floor": "5000"}, "floor", "from 0 µm to 1000 µm"},
		"half a colour":           {map[string]string{"ground_b": ""}, "ground_b", "b* is empty"},
		"a colour beyond white":   {map[string]string{"ground_l": "152"}, "ground_l", "out of range"},
		"a colour in words":       {map[string]string{"ground_a": "red"}, "ground_a", "is no number"},
		"a gloss of a mirror":     {map[string]string{"gloss": "2000"}, "gloss", "out of range"},
		"a gloss at no angle":     {map[string]string{"gloss_angle": ""}, "gloss", "no angle"},
		"a clear as the ground":   {map[string]string{"material-ground": "4"}, "material-ground", "one of those listed"},
		"a tin of hardener":       {map[string]string{"ground_lot": "9"}, "ground_lot", "one of those listed"},
		"a tin of clear":          {map[string]string{"ground_lot": "10"}, "ground_lot", "one of those listed"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f := &form{values: schemeValues(fullScheme(), inMicro)}
			for k, v := range c.change {
				f.values.Set(k, v)
			}
			parseFinish(f, fullScheme(), finishShop(), unitsOf(restoration.Metric))
			require.Equal(t, c.field == "", f.ok(), "%v", f.faults)
			if c.field != "" {
				require.Contains(t, f.error(c.field), c.says, "%v", f.faults)
			}
		})
	}
}

// A material that was retired is offered only where it is chosen already.
func TestRetiredMaterialIsNotOfferedAnew(t *testing.T) {
	t.Parallel()
	values := func(s restoration.Scheme) []string {
		var out []string
		for _, c := range finishShop().layerChoices(s) {
			for _, o := range c.Options[1:] {
				out = append(out, o.Value)
			}
		}
		return out
	}
	require.Equal(t, []string{"3", "4", "5"}, values(fullScheme()))
	require.Equal(t, []string{"3", "4"}, values(restoration.Scheme{}))
}

func TestFinish(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	clear := f.addMaterial(marshClear())
	car, pieces := f.takeIn(restoration.Car{Name: "1936 Brennick Eight"}, 2)
	require.NoError(t, f.bench.store.EditPiece(t.Context(), f.by, pieces[0].ID, withScheme(pieces[0].Details, "Burr <panels>"), pieces[0].RouteID))
	page := f.get(carPath(car.WorkOrder))
	require.Contains(t, page.text(), "No finish is agreed for the car.", "a new car starts without")
	require.Contains(t, page.text(), "Start with the usual figures")

	path := finishPath(car.WorkOrder)
	a := f.post(path, nil)
	require.Equal(t, http.StatusSeeOther, a.code, a.body)
	own := a.to
	require.Contains(t, parsePage(t, f.get(own).body).text(), "These are the usual figures.")
	require.Equal(t, http.StatusUnprocessableEntity, f.post(path, nil).code, "not over the one that is there")
	schemes, err := f.bench.store.Schemes(t.Context(), car.ID)
	require.NoError(t, err)
	require.Equal(t, restoration.StockClearCoats, schemes[0].ClearCoats)

	v := schemeValues(schemes[0], inMicro)
	for k, to := range map[string]string{"clear_coats": "5", "ground_l": "52,3", "ground_a": "18", "ground_b": "132", "material-clear": formatID(clear.ID)} {
		v.Set(k, to)
	}
	a = f.post(own, v)
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, `value="132"`, "nothing typed is lost")
	v.Set("ground_b", "100")
	require.Equal(t, path, f.post(own, v).to)
	page = f.get(carPath(car.WorkOrder))
	require.Contains(t, page.text(), "5 coats")
	require.Contains(t, page.text(), "Marsh clear")
	require.Contains(t, page.text(), "L*\u00a052.3, a*\u00a018.0, b*\u00a0100.0")
	require.Contains(t, page.text(), "No screen can show this colour")
	require.Contains(t, parsePage(t, f.get(auditPath).body).text(), "coats of clear: from 4 to 5")

	require.Contains(t, f.get(path).text(), `<option value="Burr <panels>"`, "a name of the pieces is offered")
	further := url.Values{"further": {"on"}, "name": {""}}
	require.Equal(t, http.StatusUnprocessableEntity, f.post(path, further).code)
	further.Set("name", "Burr <panels>")
	a = f.post(path, further)
	require.Equal(t, http.StatusSeeOther, a.code, a.body)
	require.NotContains(t, f.get(a.to).body, "Burr <panels>")
	further.Set("name", "BURR <PANELS>")
	require.Equal(t, http.StatusUnprocessableEntity, f.post(path, further).code, "in any case")

	other, _ := f.takeIn(restoration.Car{Name: "1949 Larkhall Ten"}, 1)
	require.Equal(t, http.StatusNotFound, f.get(finishPath(other.WorkOrder)+"/1").code, "a finish of another car")
}

func withScheme(d restoration.Details, name string) restoration.Details {
	d.Scheme, d.SchemeReason = name, "agreed with the customer"
	return d
}
