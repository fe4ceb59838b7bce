package restoration_test

import (
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // the program has it too

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// Whatever is offered is known, and found in any case.
func TestZonesAreKnown(t *testing.T) {
	t.Parallel()
	zones := restoration.TimeZones()
	require.Equal(t, "UTC", zones[0])
	require.Contains(t, zones, "Europe/Berlin")
	require.Greater(t, len(zones), 400)
	for _, z := range zones {
		_, err := time.LoadLocation(z)
		require.NoError(t, err, z)
		for _, typed := range []string{z, strings.ToLower(z), strings.ToUpper(z)} {
			got, ok := restoration.FindTimeZone(typed)
			require.True(t, ok, typed)
			require.Equal(t, z, got)
		}
	}
}

func TestFindZone(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]string{
		"  europe/berlin ": "Europe/Berlin", "america/new york": "America/New_York", "utc": "UTC", "US/Pacific": "US/Pacific",
		"": "", " ": "", "Local": "", "local": "", "Middle/Earth": "", "../../etc/passwd": "", "Berlin": "", "/etc/localtime": "",
		"Europe/Berlin\x00": "Europe/Berlin",
	} {
		got, ok := restoration.FindTimeZone(typed)
		require.Equal(t, want, got, typed)
		require.Equal(t, want != "", ok, typed)
	}
}
