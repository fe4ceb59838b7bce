package office

import (
	"crypto/sha256"
	"encoding/base64"
	"net/http"
	"net/url"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestSensors(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	require.Contains(t, b.get(sensorsPath).text(), "No sensor yet.")
	require.Equal(t, http.StatusUnprocessableEntity, b.post(sensorsPath, url.Values{"name": {" "}}).code)

	a := b.post(sensorsPath, url.Values{"name": {"Booth <b>"}})
	require.Equal(t, http.StatusOK, a.code, a.body)
	require.NotContains(t, a.body, "Booth <b>")
	token := attribute(parsePage(t, a.body).one("input", "id", "sensor-token"), "value")
	require.NotContains(t, b.get(sensorsPath).body, token, "it is shown once")
	hash := sha256.Sum256([]byte(token))
	sensor, err := b.store.FindSensor(t.Context(), hash[:])
	require.NoError(t, err, "the token opens")
	require.Equal(t, "Booth <b>", sensor.Name)
	raw, err := base64.RawURLEncoding.DecodeString(token)
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(raw), 16, "too long to be guessed")

	_, err = b.store.RecordAir(t.Context(), sensor.ID, []restoration.AirReading{{At: houseNow.Add(-5 * time.Minute), AirC: 20, Humidity: 50}})
	require.NoError(t, err)
	said := parsePage(t, b.get(sensorsPath).body).text()
	require.Contains(t, said, "Dew point 9.3 °C", "of air at 20 °C and 50 %")
	require.Contains(t, said, "fit to spray in, on a surface of at least 12.3 °C")
	shop := parsePage(t, b.get("/office").body).text()
	require.Contains(t, shop, "Booth <b>", "the newest air stands on the shop's page")
	require.Contains(t, shop, "20 °C · 50 % · dew point 9.3 °C")
	require.Contains(t, parsePage(t, b.get(batchesPath).body).text(), "dew point 9.3 °C, so a surface needs at least 12.3 °C")

	path := sensorsPath + "/" + formatID(sensor.ID)
	require.Contains(t, b.get(path).text(), "It can be let in again for 30 days")
	require.Equal(t, sensorsPath, b.post(path+"/revoke", nil).to)
	_, err = b.store.FindSensor(t.Context(), hash[:])
	require.Error(t, err, "the token opens no more")
	require.Contains(t, b.get(sensorsPath).text(), "Shut out on Fri 27 Mar 2026")
	require.NotContains(t, b.get(path).body, "/revoke")
	require.Equal(t, sensorsPath, b.post(path+"/back", nil).to)
	_, err = b.store.FindSensor(t.Context(), hash[:])
	require.NoError(t, err, "the token that it has opens again")
	require.Equal(t, http.StatusNotFound, b.get(sensorsPath+"/99").code)
}

func TestAirLines(t *testing.T) {
	t.Parallel()
	surface := 20.0
	v := visit{Now: noon, Loc: time.UTC, Settings: restoration.StockSettings()}
	read := func(a restoration.AirReading) airLine {
		a.Sensor, a.At = "Booth", noon.Add(-10*time.Minute)
		return airLines([]restoration.AirReading{a}, v)[0]
	}
	require.Empty(t, read(restoration.AirReading{AirC: 20, Humidity: 50, SurfaceC: &surface}).Window)
	require.Empty(t, read(restoration.AirReading{AirC: 20, Humidity: 50}).Window, "a sensor without a probe is asked nothing")
	require.Equal(t, []string{"Surface only 2.6 °C above dew"}, read(restoration.AirReading{AirC: 22, Humidity: 75, SurfaceC: &surface}).Window)
	require.Equal(t, []string{"Humidity over 85 %"}, read(restoration.AirReading{AirC: 12, Humidity: 90, SurfaceC: &surface}).Window)
	v.Settings.Units = restoration.US
	line := read(restoration.AirReading{AirC: 22, Humidity: 75, SurfaceC: &surface})
	require.Equal(t, "71.6 °F", line.Air)
	require.Equal(t, []string{"Surface only 4.7 °F above dew"}, line.Window, "2.63 × 1.8")
	old := airLines([]restoration.AirReading{{At: noon.Add(-restoration.SensorAge - time.Minute), AirC: 20, Humidity: 50}}, v)
	require.True(t, old[0].Old)
}
