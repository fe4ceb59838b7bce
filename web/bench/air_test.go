package bench

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// airSent is what the intake answers a sensor.
func airSent(t *testing.T, s *testShop, token, body string) page {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, s.server.URL+"/bench/air", strings.NewReader(body))
	require.NoError(t, err)
	if token != "" {
		r.Header.Set("Authorization", "Bearer "+token)
	}
	res, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	return s.open(false).read(res)
}

func TestAirComesFromASensor(t *testing.T) {
	t.Parallel()
	s := setup(t)
	token := s.sensor("Booth")
	at := s.clock().Add(-time.Minute).Format(time.RFC3339)
	one := `{"at":"` + at + `","air_c":20.5,"humidity":55,"surface_c":19,"battery":3.1}`
	got := airSent(t, s, token, one)
	require.Equal(t, http.StatusOK, got.status, got.body)
	require.JSONEq(t, `{"new":1}`, got.body)
	require.Empty(t, got.header.Get("Set-Cookie"), "a sensor has no session")
	require.JSONEq(t, `{"new":0}`, airSent(t, s, token, one).body, "again changes nothing")
	require.JSONEq(t, `{"new":1}`, airSent(t, s, token, "["+one+`,{"air_c":21,"humidity":54}]`).body, "one that isn't dated is of now")
	list, err := s.store.LatestAir(t.Context())
	require.NoError(t, err)
	require.Len(t, list, 1)
	require.InDelta(t, 21, list[0].AirC, 0)
}

func TestAirThatIsRefused(t *testing.T) {
	t.Parallel()
	s := setup(t)
	token := s.sensor("Booth")
	for name, c := range map[string]struct {
		token, body string
		status      int
		says        string
	}{
		"no token":          {"", `{}`, 401, "Authorization: Bearer"},
		"another's token":   {s.token, `{"air_c":20,"humidity":50}`, 401, "token"},
		"°F as °C":          {token, `{"air_c":72,"humidity":50}`, 422, "Typed in °F it is 22.2 °C"},
		"surface °F":        {token, `{"air_c":21,"humidity":50,"surface_c":72}`, 422, "The surface at 72 °C?"},
		"humidity 0":        {token, `{"air_c":21,"humidity":0}`, 422, "Humidity can't be 0 %"},
		"humidity 101":      {token, `{"air_c":21,"humidity":101}`, 422, "101 %"},
		"humidity −3":       {token, `{"air_c":21,"humidity":-3}`, 422, "-3 %"},
		"no humidity":       {token, `{"air_c":21}`, 422, "must both be there"},
		"a million degrees": {token, `{"air_c":1e6,"humidity":50}`, 422, "can't be that hot"},
		"NaN":               {token, `{"air_c":NaN,"humidity":50}`, 422, "can't be read"},
		"words":             {token, `{"air_c":"warm","humidity":50}`, 422, "air_c can't be a string"},
		"nothing":           {token, `[]`, 422, "from 1 to 1000"},
		"a sentence":        {token, `hello`, 422, "JSON object"},
		"a date in words":   {token, `{"at":"noon","air_c":21,"humidity":50}`, 422, "RFC 3339"},
		"tomorrow":          {token, `{"at":"2026-03-26T14:00:00Z","air_c":21,"humidity":50}`, 422, "future"},
		"one bad of two":    {token, `[{"air_c":21,"humidity":50},{"air_c":72,"humidity":50}]`, 422, "Reading 2:"},
		"too large":         {token, strings.Repeat(" ", maxAirBody+1), 413, "256 kB"},
	} {
		t.Run(name, func(t *testing.T) {
			got := airSent(t, s, c.token, c.body)
			require.Equal(t, c.status, got.status, got.body)
			require.Equal(t, "application/problem+json", got.header.Get("Content-Type"))
			require.Contains(t, got.body, c.says)
		})
	}
	list, err := s.store.LatestAir(t.Context())
	require.NoError(t, err)
	require.Empty(t, list, "nothing of it was kept")
}

func TestAShutOutSensorIsNotHeard(t *testing.T) {
	t.Parallel()
	s := setup(t)
	token := s.sensor("Booth")
	list, err := s.store.Sensors(t.Context())
	require.NoError(t, err)
	require.NoError(t, s.store.RevokeSensor(t.Context(), s.owner, list[0].ID))
	require.Equal(t, http.StatusUnauthorized, airSent(t, s, token, `{"air_c":21,"humidity":50}`).status)
}
