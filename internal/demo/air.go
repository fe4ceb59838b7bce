package demo

import (
	"math"
	"time"

	"scumble/internal/restoration"
)

// airAt is the air of the booth at an hour: warm by day, cooler and damper by night and
// some days damper than others. The surface is a little behind the air.
func airAt(t time.Time, loc *time.Location) restoration.AirReading {
	t = t.In(loc)
	hour := float64(t.Hour()) + float64(t.Minute())/60
	warm := math.Cos((hour - 14) / 24 * 2 * math.Pi) // 1 in the early afternoon
	spell := math.Sin(float64(t.YearDay()) * 1.3)    // from day to day
	airC := tenth(19.8 + 1.6*warm + 0.5*spell)
	surfaceC := tenth(airC - 0.4 - 0.3*warm)
	return restoration.AirReading{At: t, AirC: airC, Humidity: tenth(54 - 6*warm + 7*spell), SurfaceC: &surfaceC}
}

func tenth(v float64) float64 { return math.Round(v*10) / 10 }

// words gives the air as it is entered with a coat.
func words(a restoration.AirReading) *restoration.AirWords {
	return &restoration.AirWords{AirC: &a.AirC, Humidity: &a.Humidity, SurfaceC: a.SurfaceC}
}

// How far back the sensor's readings go: a noon of every day, and the last days by the
// hour.
const airDays, airHours = 60, 10 * 24

// air is what the sensor in the booth sent until now, the earliest first.
func air(now time.Time, loc *time.Location) []restoration.AirReading {
	var list []restoration.AirReading
	full := now.Truncate(time.Hour)
	for d := airDays; d > airHours/24; d-- {
		list = append(list, airAt(full.AddDate(0, 0, -d), loc))
	}
	for h := airHours; h >= 0; h-- {
		list = append(list, airAt(full.Add(-time.Duration(h)*time.Hour), loc))
	}
	if last := now.Add(-4 * time.Minute); last.After(full) {
		list = append(list, airAt(last, loc))
	}
	return list
}
