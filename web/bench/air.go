package bench

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"time"

	"scumble/internal/access"
	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/web"
)

// airPath is where the shop's sensors send the air, below where the bench is mounted.
const airPath = "/air"

// Limits of what a sensor may send at once.
const (
	maxAir     = 1000
	maxAirBody = 256 << 10 // bytes
)

// wireAir is a reading as a sensor writes it, in °C and percent. Fields that it doesn't
// know are ignored.
type wireAir struct {
	At       string   `json:"at"` // RFC 3339; "" is now
	AirC     *float64 `json:"air_c"`
	Humidity *float64 `json:"humidity"`
	SurfaceC *float64 `json:"surface_c"`
}

// takeAir takes one reading of the air, or an array of them, from a sensor that shows
// its token. All are kept or none; a reading that was kept before changes nothing.
func (b *Bench) takeAir(w http.ResponseWriter, r *http.Request) error {
	token, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer ")
	if !ok || token == "" {
		return refuseSensor(w)
	}
	sensor, err := b.shop.FindSensor(r.Context(), access.HashToken(token))
	if p, ok := restoration.AsProblem(err); ok && p.Trouble == restoration.TroubleNotFound {
		return refuseSensor(w)
	}
	if err != nil {
		return err
	}
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, maxAirBody))
	if err != nil {
		web.WriteProblem(w, bodyStatus(err), "The readings didn't arrive whole, or take more than 256 kB. Send fewer at once.")
		return nil
	}
	list, err := parseAir(body, b.now())
	if err != nil {
		web.WriteProblem(w, http.StatusUnprocessableEntity, err.Error())
		return nil
	}
	n, err := b.shop.RecordAir(r.Context(), sensor.ID, list)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	return json.NewEncoder(w).Encode(map[string]int{"new": n})
}

func refuseSensor(w http.ResponseWriter) error {
	w.Header().Set("WWW-Authenticate", "Bearer")
	web.WriteProblem(w, http.StatusUnauthorized, "A sensor sends its token: Authorization: Bearer, and the token that the owner made for it in the office.")
	return nil
}

// parseAir reads what a sensor sent: an object or an array of them. now dates a reading
// that has no time.
func parseAir(body []byte, now time.Time) ([]restoration.AirReading, error) {
	body = bytes.TrimSpace(body)
	if bytes.HasPrefix(body, []byte("{")) {
		body = append(append([]byte("["), body...), ']')
	}
	if !bytes.HasPrefix(body, []byte("[")) {
		return nil, invalid(`Send a JSON object such as {"air_c": 20.5, "humidity": 55}, or an array of them.`)
	}
	var wire []wireAir
	err := json.Unmarshal(body, &wire)
	if err != nil {
		return nil, invalid("This can't be read: %s.", plain(err))
	}
	if len(wire) == 0 || len(wire) > maxAir {
		return nil, invalid("Send from 1 to %d readings at once, not %d.", maxAir, len(wire))
	}
	list := make([]restoration.AirReading, len(wire))
	for i, one := range wire {
		if list[i], err = one.reading(i+1, now); err != nil {
			return nil, err
		}
	}
	return list, nil
}

// reading checks the nth reading. Nobody sits at a sensor to be asked: what a person
// would be asked about is refused.
func (w wireAir) reading(n int, now time.Time) (restoration.AirReading, error) {
	a := restoration.AirReading{At: now, SurfaceC: w.SurfaceC}
	if w.AirC == nil || w.Humidity == nil {
		return a, invalid("Reading %d: air_c (°C) and humidity (percent) must both be there.", n)
	}
	a.AirC, a.Humidity = *w.AirC, *w.Humidity
	if w.At != "" {
		at, err := time.Parse(time.RFC3339, w.At)
		if err != nil {
			return a, invalid("Reading %d: at must be a time such as 2026-03-27T14:30:00Z (RFC 3339), got %.40q.", n, w.At)
		}
		a.At = at
	}
	v := coating.SprayWindow(coating.Conditions{AirC: w.AirC, RHPercent: w.Humidity, SurfaceC: w.SurfaceC}, coating.Limits{})
	for _, q := range v.Questions {
		if q.Code != coating.ReadingMissing {
			return a, invalid("Reading %d: %s Send °C and percent.", n, q.Says)
		}
	}
	if found := a.Check(now); len(found) > 0 {
		return a, invalid("Reading %d: %s", n, found[0].Message)
	}
	return a, nil
}
