package coating

import "fmt"

// SprayWindow judges the readings before spraying: the surface at least 3 °C above the
// dew point, and air, surface and humidity within the material's limits. A reading that
// is missing or can't be right is asked about and not judged.
func SprayWindow(c Conditions, l Limits) Verdict {
	var v Verdict
	air := v.temperature("air", c.AirC)
	surface := v.temperature("surface", c.SurfaceC)
	rh := v.humidity(c.RHPercent)
	if air != nil && rh != nil {
		v.judgeDew(*air, *rh, surface)
	}
	if air != nil {
		v.warn(l.AirMinC != 0 && *air < l.AirMinC, AirCold, *air, l.AirMinC, "Air under %g °C", l.AirMinC)
		v.warn(l.AirMaxC != 0 && *air > l.AirMaxC, AirHot, *air, l.AirMaxC, "Air over %g °C", l.AirMaxC)
	}
	if surface != nil {
		v.warn(l.SurfaceMinC != 0 && *surface < l.SurfaceMinC, SurfaceCold, *surface, l.SurfaceMinC, "Surface under %g °C", l.SurfaceMinC)
	}
	if rh != nil {
		limit := RHMaxPercent
		if l.RHMax != 0 {
			limit = l.RHMax
		}
		v.warn(*rh > limit, Humid, *rh, limit, "Humidity over %g %%", limit)
	}
	return v
}

func (v *Verdict) judgeDew(airC, rhPercent float64, surfaceC *float64) {
	dew, err := DewPointC(airC, rhPercent)
	if err != nil {
		return
	}
	v.DewC = dew
	if surfaceC == nil {
		return
	}
	v.Known, v.MarginC = true, *surfaceC-dew
	if v.MarginC <= 0 {
		v.warn(true, NearDew, v.MarginC, DewMarginC, "Surface at dew point: wet")
		return
	}
	v.warn(v.MarginC < DewMarginC, NearDew, v.MarginC, DewMarginC, "Surface only %.1f °C above dew", v.MarginC)
}

// temperature gives a reading that may be judged, else nil and a question.
func (v *Verdict) temperature(of string, c *float64) *float64 {
	switch {
	case c == nil:
		v.ask(ReadingMissing, of, 0, 0, "What is the %s temperature?", of)
	case !finite(*c) || *c < magnusMinC || *c > hottestF:
		v.ask(CannotBe, of, *c, 0, "The %s can't be that hot or cold. What is it?", of)
	case *c > hottestC:
		v.ask(TypedInF, of, *c, DegreesC(*c), "The %s at %g °C? Typed in °F it is %.1f °C.", of, *c, DegreesC(*c))
	default:
		return c
	}
	return nil
}

func (v *Verdict) humidity(rh *float64) *float64 {
	switch {
	case rh == nil:
		v.ask(ReadingMissing, "humidity", 0, 0, "What is the humidity?")
	case checkHumidity(*rh) != nil:
		v.ask(CannotBe, "humidity", *rh, 0, "Humidity can't be %g %%. What is it?", *rh)
	default:
		return rh
	}
	return nil
}

func (v *Verdict) ask(code RemarkCode, of string, have, limit float64, format string, args ...any) {
	v.Questions = append(v.Questions, Remark{Code: code, Of: of, Says: fmt.Sprintf(format, args...), Have: have, Limit: limit})
}

func (v *Verdict) warn(when bool, code RemarkCode, have, limit float64, format string, args ...any) {
	if when {
		v.Warnings = append(v.Warnings, Remark{Code: code, Says: fmt.Sprintf(format, args...), Have: have, Limit: limit})
	}
}
