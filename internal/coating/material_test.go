package coating_test

import (
	"encoding/json"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

// Typical dry films of a coat, from memory.
func TestExamplesAreTypical(t *testing.T) {
	t.Parallel()
	dry := map[coating.Kind]coating.Range{
		coating.EpoxyPrimer: {Low: 18, High: 30}, coating.HighBuild: {Low: 40, High: 75}, coating.Ground1K: {Low: 6, High: 10},
		coating.Ground2K: {Low: 22, High: 30}, coating.GrainOil: {Low: 1, High: 5}, coating.Clear2K: {Low: 28, High: 40},
		coating.ClearLacquer: {Low: 4, High: 8},
	}
	seen := map[coating.Kind]bool{}
	for _, m := range coating.Examples() {
		require.True(t, m.Example, m.Name)
		require.Contains(t, m.Name, "Example")
		require.Contains(t, m.Sheet, "Example")
		require.Empty(t, coating.Check(m), m.Name)
		twoPart := m.Kind == coating.HighBuild || m.Kind == coating.Ground2K || m.Kind == coating.Clear2K
		require.Equal(t, twoPart, m.Isocyanate, "%s: by this the rules show their cautions", m.Name)
		um := must(m.DryUM())
		require.True(t, um.Valid(), m.Name)
		require.GreaterOrEqual(t, um.Low, dry[m.Kind].Low-.5, m.Name)
		require.LessOrEqual(t, um.High, dry[m.Kind].High, m.Name)
		seen[m.Kind] = true

		raw, err := json.Marshal(m)
		require.NoError(t, err)
		var back coating.Material
		require.NoError(t, json.Unmarshal(raw, &back))
		require.Equal(t, m, back)
	}
	require.Len(t, seen, len(dry))
}

func TestWaitsAtATemperature(t *testing.T) {
	t.Parallel()
	m := coating.Material{Waits: []coating.WaitAt{
		{TempC: 30, Recoat: 180, MaxRecoat: 1000}, {TempC: 20, Flash: 20, Recoat: 240, MaxRecoat: 2000, Sand: 1080}, {TempC: 7, Recoat: 360},
	}}
	tests := []struct {
		name      string
		tempC     float64
		want      coating.WaitAt
		estimated bool
	}{
		{"as stated", 20, coating.WaitAt{Flash: 20, Recoat: 240, MaxRecoat: 2000, Sand: 1080}, false},
		{"between, where all is stated on both sides or once", 25, coating.WaitAt{Flash: 14, Recoat: 208, MaxRecoat: 1414, Sand: 764}, true},
		{"warmer than the sheet", 40, coating.WaitAt{Flash: 5, Recoat: 90, MaxRecoat: 500, Sand: 270}, true},
		{"colder than the sheet: the longest recoat isn't stretched", -3, coating.WaitAt{Flash: 98, Recoat: 720, MaxRecoat: 2000, Sand: 5319}, true},
		{"no temperature: the longest", math.NaN(), coating.WaitAt{Flash: 20, Recoat: 360, MaxRecoat: 2000, Sand: 1080}, true},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			got, estimated := m.WaitsAt(test.tempC, 0)
			got.TempC = 0
			require.Equal(t, test.want, got)
			require.Equal(t, test.estimated, estimated)
		})
	}
	got, estimated := coating.Material{}.WaitsAt(20, 0)
	require.Equal(t, coating.WaitAt{TempC: 20}, got)
	require.True(t, estimated, "a sheet without waits leaves all open")
	minutes, estimated := coating.Material{}.PotLifeAt(20, 0)
	require.Zero(t, minutes)
	require.False(t, estimated, "what is not stated keeps")
	cold, _ := m.WaitsAt(-1000, 0)
	require.Equal(t, 100*365*24*60, cold.Recoat, "no wait runs over")
}

// 24 h at 20 °C are 41.8 h at 12 °C (factor 2 per 10 °C, common practice, no source).
func TestWaitInTheCold(t *testing.T) {
	t.Parallel()
	got, estimated := coating.Material{Waits: []coating.WaitAt{{TempC: 20, Polish: 24 * 60}}}.WaitsAt(12, 0)
	require.True(t, estimated)
	require.InDelta(t, 41.8, float64(got.Polish)/60, .05)
	got, _ = coating.Material{Waits: []coating.WaitAt{{TempC: 20, Polish: 24 * 60}}}.WaitsAt(12, 3)
	require.InDelta(t, 24*math.Pow(3, .8), float64(got.Polish)/60, .05, "by the shop's own factor: 57.8 h")
	got, _ = coating.Material{Waits: []coating.WaitAt{{TempC: 20, Polish: 24 * 60}}}.WaitsAt(12, math.NaN())
	require.InDelta(t, 41.8, float64(got.Polish)/60, .05, "no factor is the usual one")
}

func TestCuredHoursLeavesOutWhatIsNone(t *testing.T) {
	t.Parallel()
	require.Zero(t, coating.CuredHours(nil))
	require.Equal(t, 5.0, coating.CuredHours([]coating.TempSpan{{5, 20}, {-5, 20}, {math.NaN(), 20}, {5, math.Inf(1)}}))
}

// wrongMaterials each change one figure of a good material.
var wrongMaterials = []struct {
	name   string
	change func(*coating.Material)
	field  string
	says   string
}{
	{"no name", func(m *coating.Material) { m.Name = "" }, "name", "on the tin"},
	{"unknown kind", func(m *coating.Material) { m.Kind = "magic" }, "kind", "magic"},
	{"unknown layer", func(m *coating.Material) { m.Layer = "varnish" }, "layer", "varnish"},
	{"no sheet", func(m *coating.Material) { m.Sheet = "" }, "sheet", "data sheet"},
	{"no revision", func(m *coating.Material) { m.Example = false }, "revision", "date"},
	{"no parts", func(m *coating.Material) { m.Parts = nil }, "parts", "at least one"},
	{"nameless part", func(m *coating.Material) { m.Parts[1].Name = "" }, "parts[1].name", "no name"},
	{"no share", func(m *coating.Material) { m.Parts[0].Share = 0 }, "parts[0].share", "zero"},
	{"solids in percent", func(m *coating.Material) { m.Parts[0].VolumeSolids = 55 }, "parts[0].volume_solids", "0.55"},
	{"solids 1.2", func(m *coating.Material) { m.Parts[0].VolumeSolids = 1.2 }, "parts[0].volume_solids", "fraction"},
	{"no solids at all", func(m *coating.Material) { m.Parts[0].VolumeSolids, m.Parts[1].VolumeSolids = 0, 0 }, "parts", "no film"},
	{"thinner in percent", func(m *coating.Material) { m.Thinner.Fraction = 10 }, "thinner.fraction", "0.1"},
	{"thinner of what", func(m *coating.Material) { m.Thinner.Of = "C" }, "thinner.of", "A+B"},
	{"nameless thinner", func(m *coating.Material) { m.Thinner.Name = "" }, "thinner.name", "tin"},
	{"negative thinner", func(m *coating.Material) { m.Thinner.Fraction = -.1 }, "thinner.fraction", "0 for none"},
	{"wet film upside down", func(m *coating.Material) { m.WetUM.Low = 90 }, "wet_um", "order"},
	{"wet film in the wrong unit", func(m *coating.Material) { m.WetUM = coating.Exactly(6000) }, "wet_um", "unit"},
	{"negative wait", func(m *coating.Material) { m.Waits[0].Sand = -1 }, "waits[0].sand_min", "year"},
	{"recoat swapped", func(m *coating.Material) { m.Waits[0].MaxRecoat = 5 }, "waits[0].max_recoat_min", "swapped"},
	{"a temperature twice", func(m *coating.Material) { m.Waits = append(m.Waits, m.Waits[0]) }, "waits[1].temp_c", "twice"},
	{"a temperature in °F", func(m *coating.Material) { m.Waits[0].TempC = 140 }, "waits[0].temp_c", "other unit"},
	{"longer when warm", func(m *coating.Material) { m.Waits = append(m.Waits, coating.WaitAt{TempC: 30, Sand: 9999}) }, "waits[1].sand_min", "longer here than at a colder"},
	{"no pot life", func(m *coating.Material) { m.PotLife[0].Minutes = 0 }, "pot_life[0].minutes", "1 minute"},
	{"pot life longer when warm", func(m *coating.Material) { m.PotLife = append(m.PotLife, coating.PotLifeAt{30, 999}) }, "pot_life[1].minutes", "longer"},
	{"a limit in °F", func(m *coating.Material) { m.Limits.AirMaxC = 90 }, "limits.air_max_c", "other unit"},
	{"limits swapped", func(m *coating.Material) { m.Limits.AirMinC = 31 }, "limits.air_max_c", "swapped"},
	{"humidity 170", func(m *coating.Material) { m.Limits.RHMax = 170 }, "limits.rh_max_percent", "percentage"},
	{"session no number", func(m *coating.Material) { m.Limits.SessionMaxUM = math.NaN() }, "limits.session_max_um", "1000"},
	{"negative VOC", func(m *coating.Material) { m.VOCGramsPerL = -1 }, "voc_g_per_l", "0 to 1000 g/L"},
}

func TestCheckNamesFieldAndRemedy(t *testing.T) {
	t.Parallel()
	for _, test := range wrongMaterials {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			m := coating.Examples()[5]
			require.Equal(t, coating.Clear2K, m.Kind)
			test.change(&m)
			faults := coating.Check(m)
			require.Len(t, faults, 1, "%v", faults)
			require.Equal(t, test.field, faults[0].Field)
			require.Contains(t, faults[0].Says, test.says)
		})
	}
}

// 1,000 g/L are 8.345 lb/gal and 1,000 µm are 39.37 mil: what is named is still inside.
func TestCheckNamesTheShopsUnit(t *testing.T) {
	t.Parallel()
	m := coating.Examples()[5]
	m.VOCGramsPerL, m.Limits.SessionMaxUM = 1001, 1001
	faults := coating.Check(m)
	require.Len(t, faults, 2)
	for i, want := range []struct{ metric, us string }{
		{"VOC goes from 0 to 1000 g/L. Look at the data sheet again.", "VOC goes from 0 to 8.3 lb/gal. Look at the data sheet again."},
		{"The film of a session is from 0 to 1000 µm. Type it again.", "The film of a session is from 0 to 39.3 mil. Type it again."},
	} {
		at := slices.IndexFunc(faults, func(f coating.Fault) bool { return f.Says == want.metric })
		require.GreaterOrEqual(t, at, 0, "%d: %v", i, faults)
		require.Equal(t, want.metric, faults[at].Words(false))
		require.Equal(t, want.us, faults[at].Words(true))
	}
	m = coating.Examples()[5]
	m.Name = ""
	require.Equal(t, coating.Check(m)[0].Says, coating.Check(m)[0].Words(true), "no measure, one sentence")
}

func TestMaterialWithoutFigures(t *testing.T) {
	t.Parallel()
	_, err := coating.Material{WetUM: coating.Exactly(50)}.DryUM()
	require.EqualError(t, err, "The mix is empty. Give at least one part a volume.")
	unsprayed := coating.Examples()[0]
	unsprayed.WetUM = coating.Range{}
	require.Empty(t, coating.Check(unsprayed), "a sheet may be silent on the wet film")
	thinnerOnly := []coating.PartSheet{{Name: "thinner", Share: 1}}
	_, err = coating.Material{Parts: thinnerOnly, WetUM: coating.Exactly(50)}.DryUM()
	require.Error(t, err)
}
