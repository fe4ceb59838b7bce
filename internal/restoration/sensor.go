package restoration

import (
	"math"
	"slices"
	"time"
)

// Sensor is a device in the shop that sends the air by itself.
type Sensor struct {
	ID        int64
	Name      string
	CreatedAt time.Time
	LastSeen  time.Time // zero: it has sent nothing yet
	RevokedAt time.Time // zero: in use
}

// MayReturn tells whether a sensor that was shut out may be let in again, with the token
// that it still has.
func (s Sensor) MayReturn(now time.Time) bool {
	return !s.RevokedAt.IsZero() && MayUndo(s.RevokedAt, now)
}

// AirReading is the air at a moment, as a sensor sent it.
type AirReading struct {
	At       time.Time
	AirC     float64
	Humidity float64  // percent
	SurfaceC *float64 // nil: the sensor has no probe on a piece
	SensorID int64    // where the reader has looked it up
	Sensor   string   // its name
}

// The bounds of what a sensor in a shop is believed.
const (
	LeastAirC, MostAirC         = -40, 60
	LeastSurfaceC, MostSurfaceC = -40, 100
)

// Check lists what can't be right, each at its field: at, air, humidity, surface. Nil
// is all right; now is the server's hour.
func (a AirReading) Check(now time.Time) []*Problem {
	var found []*Problem
	add := func(field, format string, args ...any) {
		found = append(found, Problemf(TroubleInvalid, field, format, args...))
	}
	switch Dated(a.At, now) {
	case DatedAhead:
		add("at", "The reading is dated in the future. Set the sensor's clock.")
	case DatedLate:
		add("at", "The reading is older than 90 days. Set the sensor's clock.")
	}
	if !within(a.AirC, LeastAirC, MostAirC) {
		add("air", "Air of %g °C is none of a shop: from %d to %d °C. Look whether it was meant in °F.", a.AirC, LeastAirC, MostAirC)
	}
	if !within(a.Humidity, 0, 100) || a.Humidity == 0 {
		add("humidity", "Humidity is above 0 and up to 100 %%, this is %g.", a.Humidity)
	}
	if a.SurfaceC != nil && !within(*a.SurfaceC, LeastSurfaceC, MostSurfaceC) {
		add("surface", "A surface of %g °C is none of a shop: from %d to %d °C. Look whether it was meant in °F.", *a.SurfaceC, LeastSurfaceC, MostSurfaceC)
	}
	return found
}

func within(v, low, high float64) bool { return !math.IsNaN(v) && v >= low && v <= high }

// SensorAge is how old a sensor's reading may be to stand for the air of a moment.
const SensorAge = 30 * time.Minute

// TempNow is the temperature of the shop's air by its sensors, in °C: the last reading
// that is not too old, else that of a room.
func TempNow(list []AirReading, now time.Time) float64 {
	temp, at := float64(roomC), now.Add(-SensorAge)
	for _, a := range list {
		if !a.At.Before(at) && !a.At.After(now) {
			temp, at = a.AirC, a.At
		}
	}
	return temp
}

// SprayedLooks lists the looks of the stages at which a layer is sprayed.
func SprayedLooks() []Look {
	return slices.DeleteFunc(Looks(), func(l Look) bool { return LayerOf(l) == "" })
}
