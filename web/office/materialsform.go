package office

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// The rows of a list in the form of a material have the names under which
// [coating.Check] speaks of them, with dots for brackets: "parts.0.share".
const (
	partRows = "parts"
	waitRows = "waits"
	potRows  = "pot_life"
)

func rowField(list string, i int, field string) string {
	return list + "." + strconv.Itoa(i) + "." + field
}

// fieldOfSheet is the field at which a fault of a material stands.
func fieldOfSheet(name string) string { return strings.NewReplacer("[", ".", "]", "").Replace(name) }

// mostRows is more than any sheet fills.
const mostRows = 40

// rows counts the rows of a list that hold something, and closes the gaps between them,
// so that row and place in the list are the same.
func (f *form) rows(list string) int {
	filled := make([]url.Values, mostRows)
	for name, v := range f.values {
		rest, ok := strings.CutPrefix(name, list+".")
		at, field, _ := strings.Cut(rest, ".")
		i, err := strconv.Atoi(at)
		if !ok || err != nil || i < 0 || i >= mostRows {
			continue
		}
		delete(f.values, name)
		if blank(strings.Join(v, "")) {
			continue
		}
		if filled[i] == nil {
			filled[i] = url.Values{}
		}
		filled[i][field] = v
	}
	filled = slices.DeleteFunc(filled, func(v url.Values) bool { return v == nil })
	for i, row := range filled {
		for field, v := range row {
			f.values[rowField(list, i, field)] = v
		}
	}
	return len(filled)
}

// parseMaterial reads the form of a material; before is the material as it was.
func parseMaterial(f *form, before restoration.Material, u units) restoration.Material {
	m := restoration.Material{ID: before.ID, Retired: before.Retired, Material: coating.Material{
		Name: f.line("name"), Kind: coating.Kind(f.get("kind")), Layer: coating.Layer(f.get("layer")),
		Sheet: f.line("sheet"), Revision: f.line("revision"), Example: f.ticked("example"),
		Parts: parseParts(f, before.Parts), Waits: parseWaits(f, before.Waits, u), PotLife: parsePotLife(f, before.PotLife, u),
		WetUM: coating.Range{
			Low:    f.figure("wet_um", u.film, before.WetUM.Low),
			Likely: f.figure(likelyField("wet_um"), u.film, before.WetUM.Likely),
			High:   f.figure(highField("wet_um"), u.film, before.WetUM.High),
		},
		Limits: parseLimits(f, before.Limits, u), VOCGramsPerL: f.figure("voc_g_per_l", u.voc, before.VOCGramsPerL),
		Isocyanate: f.ticked("isocyanate"), Cautions: f.lines("cautions"),
	}}
	m.Thinner = coating.Thinner{Name: f.line("thinner.name"), Of: coating.ThinnerOf(f.get("thinner.of")),
		Fraction: f.share("thinner.fraction", "Thinner", 3, before.Thinner.Fraction)}
	if m.Thinner.Fraction == 0 && m.Thinner.Name == "" {
		m.Thinner.Of = before.Thinner.Of // the choice says nothing without thinner
	}
	for _, fault := range coating.Check(m.Material) {
		f.fault(fieldOfSheet(fault.Field), "%s", fault.Words(u.of == restoration.US))
	}
	return m
}

// at gives an item of a list, or nothing where the list is shorter.
func at[T any](list []T, i int) T {
	if i < len(list) {
		return list[i]
	}
	var none T
	return none
}

func parseParts(f *form, before []coating.PartSheet) []coating.PartSheet {
	var parts []coating.PartSheet
	for i := range f.rows(partRows) {
		was, field := at(before, i), func(name string) string { return rowField(partRows, i, name) }
		parts = append(parts, coating.PartSheet{Name: f.line(field("name")), Share: f.figure(field("share"), plain, was.Share),
			VolumeSolids: f.share(field("volume_solids"), "Volume solids", 1, was.VolumeSolids)})
	}
	return parts
}

func parseWaits(f *form, before []coating.WaitAt, u units) []coating.WaitAt {
	var waits []coating.WaitAt
	for i := range f.rows(waitRows) {
		span := func(name string) int { return int(f.hours(rowField(waitRows, i, name))) }
		waits = append(waits, coating.WaitAt{TempC: f.temperature(rowField(waitRows, i, "temp_c"), u, at(before, i).TempC),
			Flash: span("flash_min"), Recoat: span("recoat_min"), MaxRecoat: span("max_recoat_min"),
			Sand: span("sand_min"), Polish: span("polish_min"), Fit: span("fit_min")})
	}
	return waits
}

func parsePotLife(f *form, before []coating.PotLifeAt, u units) []coating.PotLifeAt {
	var lives []coating.PotLifeAt
	for i := range f.rows(potRows) {
		lives = append(lives, coating.PotLifeAt{TempC: f.temperature(rowField(potRows, i, "temp_c"), u, at(before, i).TempC),
			Minutes: int(f.hours(rowField(potRows, i, "minutes")))})
	}
	return lives
}

// temperature reads the temperature of a row, which must not stay empty.
func (f *form) temperature(name string, u units, before float64) float64 {
	if blank(f.get(name)) {
		f.fault(name, "Write the temperature for which the sheet states this row.")
	}
	return f.figure(name, u.temp, before)
}

func parseLimits(f *form, before coating.Limits, u units) coating.Limits {
	return coating.Limits{
		AirMinC:      f.figure("limits.air_min_c", u.temp, before.AirMinC),
		AirMaxC:      f.figure("limits.air_max_c", u.temp, before.AirMaxC),
		SurfaceMinC:  f.figure("limits.surface_min_c", u.temp, before.SurfaceMinC),
		RHMax:        f.figure("limits.rh_max_percent", plain, before.RHMax),
		SessionMaxUM: f.figure("limits.session_max_um", u.film, before.SessionMaxUM),
	}
}

// materialValues fills the form so that parseMaterial gives m again.
func materialValues(m restoration.Material, u units) url.Values {
	v := url.Values{
		"name": {m.Name}, "kind": {string(m.Kind)}, "layer": {string(m.Layer)}, "sheet": {m.Sheet}, "revision": {m.Revision},
		"thinner.name": {m.Thinner.Name}, "thinner.of": {string(m.Thinner.Of)}, "thinner.fraction": {perCent.typedStated(m.Thinner.Fraction)},
		"voc_g_per_l": {u.voc.typedStated(m.VOCGramsPerL)}, "cautions": {strings.Join(m.Cautions, "\n")},
		"limits.air_min_c": {u.temp.typedStated(m.Limits.AirMinC)}, "limits.air_max_c": {u.temp.typedStated(m.Limits.AirMaxC)},
		"limits.surface_min_c": {u.temp.typedStated(m.Limits.SurfaceMinC)}, "limits.rh_max_percent": {plain.typedStated(m.Limits.RHMax)},
		"limits.session_max_um": {u.film.typedStated(m.Limits.SessionMaxUM)},
	}
	if !m.WetUM.IsZero() {
		v.Set("wet_um", u.film.typed(m.WetUM.Low))
		v.Set(likelyField("wet_um"), u.film.typed(m.WetUM.Likely))
		v.Set(highField("wet_um"), u.film.typed(m.WetUM.High))
	}
	for name, on := range map[string]bool{"example": m.Example, "isocyanate": m.Isocyanate} {
		if on {
			v.Set(name, "on")
		}
	}
	setRows(v, m, u)
	return v
}

func setRows(v url.Values, m restoration.Material, u units) {
	for i, p := range m.Parts {
		v.Set(rowField(partRows, i, "name"), p.Name)
		v.Set(rowField(partRows, i, "share"), plain.typed(p.Share))
		v.Set(rowField(partRows, i, "volume_solids"), perCent.typed(p.VolumeSolids))
	}
	for i, w := range m.Waits {
		v.Set(rowField(waitRows, i, "temp_c"), u.temp.typed(w.TempC))
		for name, minutes := range map[string]int{"flash_min": w.Flash, "recoat_min": w.Recoat, "max_recoat_min": w.MaxRecoat,
			"sand_min": w.Sand, "polish_min": w.Polish, "fit_min": w.Fit} {
			v.Set(rowField(waitRows, i, name), typedSpan(restoration.Minutes(minutes)))
		}
	}
	for i, p := range m.PotLife {
		v.Set(rowField(potRows, i, "temp_c"), u.temp.typed(p.TempC))
		v.Set(rowField(potRows, i, "minutes"), typedSpan(restoration.Minutes(p.Minutes)))
	}
}
