package coating

import "math"

// longestWait is a hundred years in minutes: no wait is longer, however cold.
const longestWait = 100 * 365 * 24 * 60

// point is a stated time at a temperature.
type point struct {
	tempC   float64
	minutes int
}

// WaitsAt gives the material's waits at a temperature. Between two temperatures that the
// sheet states, times are interpolated on their logarithm; beyond them they grow or
// shrink by the factor per 10 °C, the shop's own or [FactorPer10C] where per10C is 0, and estimated is true: the page must say so. The longest
// time to recoat is shortened by an estimate but never lengthened by one, since trusting
// it too long costs the adhesion. A wait that the sheet doesn't state stays 0; with none
// at all the answer is zero waits, estimated.
func (m Material) WaitsAt(tempC, per10C float64) (w WaitAt, estimated bool) {
	w.TempC = tempC
	estimated = len(m.Waits) == 0
	at := func(field func(WaitAt) int) int {
		points := make([]point, 0, len(m.Waits))
		for _, s := range m.Waits {
			points = append(points, point{s.TempC, field(s)})
		}
		minutes, guess := timeAt(points, tempC, per10C)
		estimated = estimated || guess
		return minutes
	}
	w.Flash = at(func(w WaitAt) int { return w.Flash })
	w.Recoat = at(func(w WaitAt) int { return w.Recoat })
	w.MaxRecoat = at(func(w WaitAt) int { return w.MaxRecoat })
	w.Sand = at(func(w WaitAt) int { return w.Sand })
	w.Polish = at(func(w WaitAt) int { return w.Polish })
	w.Fit = at(func(w WaitAt) int { return w.Fit })
	var longest int
	for _, s := range m.Waits {
		longest = max(longest, s.MaxRecoat)
	}
	w.MaxRecoat = min(w.MaxRecoat, longest)
	return w, estimated
}

// PotLifeAt gives the pot life at a temperature in minutes, by the same rule as
// [Material.WaitsAt]. 0 when none is stated: a one-part material keeps.
func (m Material) PotLifeAt(tempC, per10C float64) (minutes int, estimated bool) {
	points := make([]point, 0, len(m.PotLife))
	for _, p := range m.PotLife {
		points = append(points, point{p.TempC, p.Minutes})
	}
	return timeAt(points, tempC, per10C)
}

// timeAt finds the time at a temperature from those stated; points without a time don't
// count. No point gives 0, not estimated. A temperature that is no number gives the
// longest time.
func timeAt(points []point, tempC, per10C float64) (minutes int, estimated bool) {
	if !finite(tempC) {
		for _, p := range points {
			minutes = max(minutes, p.minutes)
		}
		return minutes, true
	}
	var below, above *point
	for i, p := range points {
		if p.minutes <= 0 {
			continue
		}
		if p.tempC <= tempC && (below == nil || p.tempC > below.tempC) {
			below = &points[i]
		}
		if p.tempC >= tempC && (above == nil || p.tempC < above.tempC) {
			above = &points[i]
		}
	}
	switch {
	case below == nil && above == nil:
		return 0, false
	case above == nil:
		return wholeMinutes(float64(below.minutes) * stretch(below.tempC, tempC, per10C)), true
	case below == nil:
		return wholeMinutes(float64(above.minutes) * stretch(above.tempC, tempC, per10C)), true
	case below.tempC == above.tempC:
		return below.minutes, false
	}
	along := (tempC - below.tempC) / (above.tempC - below.tempC)
	return wholeMinutes(float64(below.minutes) * math.Pow(float64(above.minutes)/float64(below.minutes), along)), false
}

// wholeMinutes rounds to the minute, at least one: a stated wait never vanishes.
func wholeMinutes(m float64) int { return int(math.Round(min(max(m, 1), longestWait))) }

// TempSpan is a span of time at one temperature.
type TempSpan struct{ Hours, TempC float64 }

// CuredHours adds up spans as hours at 20 °C: Σ h × 2^((T − 20)/10). The nights count
// like the days. Spans whose hours or temperature are no numbers, or negative hours, are left out.
func CuredHours(spans []TempSpan) float64 {
	var sum float64
	for _, s := range spans {
		if finite(s.TempC) && finite(s.Hours) && s.Hours > 0 {
			sum += s.Hours * Stretch(s.TempC, 20)
		}
	}
	return sum
}
