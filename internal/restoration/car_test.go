package restoration

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestDaysOfACar(t *testing.T) {
	t.Parallel()
	day := func(d int) time.Time { return time.Date(2026, 3, d, 0, 0, 0, 0, time.UTC) }
	for name, c := range map[string]struct {
		car    Car
		fields []string
	}{
		"none is said":              {Car{}, nil},
		"all in order":              {Car{ArrivedOn: day(1), PromisedOn: day(20), ExpectFrom: day(18), ExpectTo: day(22)}, nil},
		"promised as it arrives":    {Car{ArrivedOn: day(1), PromisedOn: day(1)}, nil},
		"promised, not yet arrived": {Car{PromisedOn: day(1)}, nil},
		"promised before":           {Car{ArrivedOn: day(2), PromisedOn: day(1)}, []string{"promised"}},
		"expected on one day":       {Car{ExpectFrom: day(3), ExpectTo: day(3)}, nil},
		"expected backwards":        {Car{ExpectFrom: day(4), ExpectTo: day(3)}, []string{"expect_to"}},
		"half expected":             {Car{ExpectTo: day(3)}, []string{"expect_from"}},
	} {
		require.Equal(t, c.fields, fieldsAt(t, c.car.Check()), name)
	}
}
