package coating

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// P800 is 21.8 µm, P1000 18.3; US 500 is 20, US 400 is 23.
func TestKeys(t *testing.T) {
	t.Parallel()
	for grade, want := range map[string]bool{
		"P400": true, "P800": true, "p 800": true, "P1000": false, "P2000": false, "P2500": false, "P3000": false,
		"US 400": true, "US 500": false, "compound": false, "Polish": false, " polish ": false, "grey pad": true, "": true,
	} {
		require.Equal(t, want, Keys(grade), grade)
	}
}
