package office

import (
	"maps"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// marshClear is a clear of 2 : 1 + 5 % as a person types its sheet in.
func marshClear() url.Values {
	return url.Values{
		"name": {"Marsh clear"}, "kind": {string(coating.Clear2K)}, "layer": {"clear"}, "sheet": {"MC 700"}, "revision": {"3"},
		"parts.0.name": {"clear"}, "parts.0.share": {"2"}, "parts.0.volume_solids": {"56"},
		"parts.1.name": {"hardener"}, "parts.1.share": {"1"}, "parts.1.volume_solids": {"58,0"},
		"thinner.name": {"slow thinner"}, "thinner.fraction": {"5"}, "thinner.of": {"A+B"},
		"wet_um": {"55"}, "wet_um.likely": {"60"}, "wet_um.high": {"68"},
		"waits.0.temp_c": {"20"}, "waits.0.flash_min": {"10 min"}, "waits.0.recoat_min": {"10 min"}, "waits.0.max_recoat_min": {"18 h"},
		"pot_life.0.temp_c": {"20"}, "pot_life.0.minutes": {"2 h"}, "voc_g_per_l": {"420"}, "isocyanate": {"on"},
	}
}

// What is shown and sent back untouched stays what it was, to the last bit, in either
// units.
func TestMaterialRoundTrip(t *testing.T) {
	t.Parallel()
	for _, u := range []restoration.Units{restoration.Metric, restoration.US} {
		for i, sheet := range coating.Examples() {
			m := restoration.Material{ID: int64(i + 1), Material: sheet}
			f := &form{values: materialValues(m, unitsOf(u))}
			require.Equal(t, m, parseMaterial(f, m, unitsOf(u)), "%s, %s", sheet.Name, u)
			require.True(t, f.ok(), "%v", f.faults)
		}
	}
}

func TestAnyFigureRoundTrips(t *testing.T) {
	t.Parallel()
	all := []unit{perCent, plain, inMicro, inMil, inC, inF}
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom(all).Draw(t, "unit")
		v := rapid.Float64Range(-1000, 1000).Draw(t, "figure")
		f := &form{values: url.Values{"x": {u.typed(v)}}}
		require.Equal(t, v, f.figure("x", u, v))
		require.True(t, f.ok(), "%v", f.faults)
	})
}

func TestParseMaterial(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		change map[string]string
		field  string // at which something is wrong; "" nothing is
		says   string
	}{
		"as typed":                      {nil, "", ""},
		"no name":                       {map[string]string{"name": " "}, "name", "is missing"},
		"a kind that is none":           {map[string]string{"kind": "miracle"}, "kind", "is no kind known here"},
		"a layer that is none":          {map[string]string{"layer": "varnish"}, "layer", "is no layer"},
		"no sheet":                      {map[string]string{"sheet": ""}, "sheet", "data sheet is missing"},
		"no revision":                   {map[string]string{"revision": ""}, "revision", "revision is missing"},
		"an example needs none":         {map[string]string{"revision": "", "example": "on"}, "", ""},
		"no parts":                      {map[string]string{"parts.0.name": "", "parts.0.share": "", "parts.0.volume_solids": "", "parts.1.name": "", "parts.1.share": "", "parts.1.volume_solids": ""}, "parts", "no parts"},
		"no solids at all":              {map[string]string{"parts.0.volume_solids": "0", "parts.1.volume_solids": ""}, "parts", "no solids"},
		"a share of nothing":            {map[string]string{"parts.1.share": "0"}, "parts.1.share", "missing or zero"},
		"a share in words":              {map[string]string{"parts.1.share": "one"}, "parts.1.share", "Write a number"},
		"solids of 120 %":               {map[string]string{"parts.0.volume_solids": "120"}, "parts.0.volume_solids", "from 0 to 100 %"},
		"solids as a fraction":          {map[string]string{"parts.0.volume_solids": "0.56"}, "parts.0.volume_solids", "for 56 % write 56"},
		"solids below nothing":          {map[string]string{"parts.0.volume_solids": "-3"}, "parts.0.volume_solids", "from 0 to 100 %"},
		"point and comma":               {map[string]string{"voc_g_per_l": "1.000,5"}, "voc_g_per_l", "one decimal sign"},
		"thinner without a name":        {map[string]string{"thinner.name": ""}, "thinner.name", "no name"},
		"thinner without end":           {map[string]string{"thinner.fraction": "400"}, "thinner.fraction", "from 0 to 300 %"},
		"thinner of something else":     {map[string]string{"thinner.of": "B"}, "thinner.of", "Pick one"},
		"a wet film that falls":         {map[string]string{"wet_um.likely": "20"}, "wet_um", "Put them in order"},
		"a wet film that runs":          {map[string]string{"wet_um.high": "1200"}, "wet_um", "runs off"},
		"a wait at 200 °C":              {map[string]string{"waits.0.temp_c": "200"}, "waits.0.temp_c", "other unit"},
		"a wait at no temperature":      {map[string]string{"waits.0.temp_c": ""}, "waits.0.temp_c", "Write the temperature"},
		"a temperature twice":           {map[string]string{"waits.5.temp_c": "20", "waits.5.sand_min": "20 h"}, "waits.1.temp_c", "stands here twice"},
		"a wait in words":               {map[string]string{"waits.0.sand_min": "soon"}, "waits.0.sand_min", "Write hours"},
		"a window the wrong way":        {map[string]string{"waits.0.max_recoat_min": "5 min"}, "waits.0.max_recoat_min", "swapped"},
		"longer where it is warmer":     {map[string]string{"waits.1.temp_c": "30", "waits.1.flash_min": "1 h"}, "waits.1.flash_min", "swapped"},
		"no pot life at 20 °C":          {map[string]string{"pot_life.0.minutes": ""}, "pot_life.0.minutes", "from 1 minute"},
		"air from 72 °C":                {map[string]string{"limits.air_min_c": "72"}, "limits.air_min_c", "other unit"},
		"humidity to 101 %":             {map[string]string{"limits.rh_max_percent": "101"}, "limits.rh_max_percent", "0 to 100"},
		"VOC beyond any":                {map[string]string{"voc_g_per_l": "5000"}, "voc_g_per_l", "1000 g/L"},
		"a film of a session of 1 m":    {map[string]string{"limits.session_max_um": "1000000"}, "limits.session_max_um", "0 to 1000"},
		"a caution with a strange sign": {map[string]string{"cautions": "a\x07b"}, "cautions", "can't be shown"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f := &form{values: marshClear()}
			for k, v := range c.change {
				f.values.Set(k, v)
			}
			parseMaterial(f, restoration.Material{}, unitsOf(restoration.Metric))
			require.Equal(t, c.field == "", f.ok(), "%v", f.faults)
			if c.field != "" {
				require.Contains(t, f.error(c.field), c.says, "%v", f.faults)
			}
		})
	}
}

func TestMaterialInUSUnits(t *testing.T) {
	t.Parallel()
	f := &form{values: marshClear()}
	for k, v := range map[string]string{"wet_um": "2", "wet_um.likely": "2.5", "wet_um.high": "3", "waits.0.temp_c": "68", "pot_life.0.temp_c": "50", "limits.air_min_c": "59", "voc_g_per_l": "3.5"} {
		f.values.Set(k, v)
	}
	m := parseMaterial(f, restoration.Material{}, unitsOf(restoration.US))
	require.True(t, f.ok(), "%v", f.faults)
	require.InDelta(t, 63.5, m.WetUM.Likely, 1e-9, "2.5 × 25.4")
	require.InDelta(t, 20, m.Waits[0].TempC, 1e-9, "(68 − 32) ÷ 1.8")
	require.InDelta(t, 10, m.PotLife[0].TempC, 1e-9)
	require.InDelta(t, 15, m.Limits.AirMinC, 1e-9)
	require.InDelta(t, 419.4, m.VOCGramsPerL, .05, "3.5 × 453.59237 ÷ 3.785411784")
	m.VOCGramsPerL = 420 // as a metric sheet said
	again := materialValues(m, unitsOf(restoration.US))
	require.Equal(t, "3.51", again.Get("voc_g_per_l"))
	require.InDelta(t, 420, parseMaterial(&form{values: again}, m, unitsOf(restoration.US)).VOCGramsPerL, 0, "what is shown rounded is kept as it was")
}

// Empty rows between others are closed up, and everything else that was typed stays.
func TestRowsCloseUp(t *testing.T) {
	t.Parallel()
	f := &form{values: url.Values{"parts.1.name": {"b"}, "parts.0.name": {" "}, "parts.3.share": {"x"}, "parts.99.name": {"far"}, "partsman": {"me"}}}
	require.Equal(t, 2, f.rows(partRows))
	require.Equal(t, url.Values{"parts.0.name": {"b"}, "parts.1.share": {"x"}, "parts.99.name": {"far"}, "partsman": {"me"}}, f.values)
	again := maps.Clone(f.values)
	require.Equal(t, 2, f.rows(partRows))
	require.Equal(t, again, f.values)
}

// 2 : 1 + 5 %: (2×0.56 + 1×0.58) ÷ (3 × 1.05) = 0.5397; × 60 µm = 32.4 µm; 1000 × 0.5397 ÷ 32.38 = 16.7 m².
func TestDerivedFigures(t *testing.T) {
	t.Parallel()
	f := &form{values: marshClear()}
	m := parseMaterial(f, restoration.Material{}, unitsOf(restoration.Metric)).Material
	require.Equal(t, derived{Solids: "54 %", Dry: "32.4 µm, 29.7–36.7", Cover: "16.7 m² a litre"}, deriveFrom(m, restoration.Metric))
	require.Equal(t, derived{Solids: "54 %", Dry: "1.27 mil, 1.17–1.44", Cover: "679 ft² a gallon"}, deriveFrom(m, restoration.US), "32.38 ÷ 25.4; 16.67 × 40.75")
	require.Equal(t, "2 : 1 + 5 % thinner", ratioWords(m))
	require.Zero(t, deriveFrom(coating.Material{}, restoration.Metric))
	require.Equal(t, "one part", ratioWords(coating.Material{Parts: []coating.PartSheet{{Share: 1}}}))
	m.WetUM = coating.Range{}
	require.Equal(t, derived{Solids: "54 %"}, deriveFrom(m, restoration.Metric), "no film is known without a wet one")
}

func TestMaterials(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	page := b.get(materialsPath)
	require.Equal(t, http.StatusOK, page.code)
	require.Equal(t, len(coating.Examples()), strings.Count(page.text(), exampleWords), "every one that ships says so")

	v := marshClear()
	v.Set("parts.0.volume_solids", "120 <b>")
	v.Set("cautions", "Mind the cat.")
	a := b.post(materialsPath+"/new", v)
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	for _, typed := range []string{`value="120 &lt;b&gt;"`, `value="58,0"`, `value="slow thinner"`, "Mind the cat.", `value="18 h"`} {
		require.Contains(t, a.body, typed, "nothing typed is lost")
	}
	a = b.post(materialsPath+"/new", marshClear())
	require.Equal(t, http.StatusSeeOther, a.code, a.body)
	page = b.get(a.to)
	require.Contains(t, page.text(), "Marsh clear is on the list")
	require.Contains(t, page.text(), "32.4 µm, 29.7–36.7")

	again := b.post(materialsPath+"/new", marshClear())
	require.Equal(t, http.StatusUnprocessableEntity, again.code)
	require.Contains(t, again.text(), "Another material is called so.")
	v = marshClear()
	v.Set("wet_um.high", "70")
	require.Equal(t, a.to, b.post(a.to, v).to)
	require.Contains(t, b.get(a.to).text(), "29.7–37.8", "70 × 0.5397")

	require.Equal(t, a.to, b.post(a.to+"/retire", nil).to)
	require.Contains(t, b.get(materialsPath).text(), "retired on Fri 27 Mar 2026")
	require.NotContains(t, b.get(lotsPath).text(), "Marsh clear", "no tin is offered of it")
	require.Equal(t, a.to, b.post(a.to+"/back", nil).to)
	require.NotContains(t, b.get(materialsPath).text(), "retired on")
	require.Equal(t, http.StatusNotFound, b.get(materialsPath+"/999").code)
	require.Equal(t, http.StatusNotFound, b.post(materialsPath+"/999/retire", nil).code)
	require.Contains(t, parsePage(t, b.get(auditPath).body).text(), "added the material Marsh clear")
}

// addMaterial puts a material on the shop's list.
func (b *shopWindow) addMaterial(v url.Values) restoration.Material {
	b.t.Helper()
	f := &form{values: v}
	m := parseMaterial(f, restoration.Material{}, unitsOf(restoration.Metric))
	require.True(b.t, f.ok(), "%v", f.faults)
	m, err := b.store.SaveMaterial(b.t.Context(), restoration.Actor{}, m)
	require.NoError(b.t, err)
	return m
}

func TestParseNumber(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]float64{"2.5": 2.5, "2,5": 2.5, "-3": -3, "−3": -3, "0": 0, "007": 7} {
		got, err := parseNumber(typed)
		require.NoError(t, err, typed)
		require.InDelta(t, want, got, 0, typed)
	}
	for _, typed := range []string{"", "1.000,5", "1,000.5", "2.5.1", "1e9", "NaN", "+1", "2 5", "1/2", "٣"} {
		_, err := parseNumber(typed)
		require.Error(t, err, typed)
	}
}

func TestParseVolume(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]float64{"750": 750, "750 mL": 750, "0,75 l": 750, "1 L": 1000, "1.5L": 1500, "1 gal": 3785.411784, "1 qt": 946.352946} {
		got, err := inML.parseVolume(typed)
		require.NoError(t, err, typed)
		require.InDelta(t, want, got, 1e-6, typed)
	}
	for typed, want := range map[string]float64{"1": 29.5735295625, "25,36": 749.984709705, "750 mL": 750, "1 US gal": 3785.411784, "16 fl oz": 473.176473, "2 oz": 59.147059125, "1 pt": 473.176473} {
		got, err := inFlOz.parseVolume(typed)
		require.NoError(t, err, typed)
		require.InDelta(t, want, got, 1e-6, typed)
	}
	for _, typed := range []string{"", "a tin", "-1", "1.000,5 mL", "1 pint", "1 m3", "1 us mL"} {
		_, err := inML.parseVolume(typed)
		require.Error(t, err, typed)
	}
}
