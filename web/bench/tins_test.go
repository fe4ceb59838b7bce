package bench

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// A coat of 120 mL takes 100 mL of the paint and 20 of the hardener.
func TestTheTinThatACoatBeginsWithHoldsEnough(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 25, 9, 0, 0, 0, time.UTC)
	m := restoration.Material{ID: 1, Material: coating.Material{Parts: []coating.PartSheet{{Name: "paint", Share: 5}, {Name: "hardener", Share: 1}}}}
	const paint, hardener = 0, 1
	tin := func(id int64, part int, left float64) restoration.Lot {
		return restoration.Lot{ID: id, Material: m.ID, Part: part, Number: "L", AmountML: 1000, LeftML: left}
	}
	past := tin(9, paint, 900)
	past.ExpiresOn = now.AddDate(0, 0, -1)
	for name, c := range map[string]struct {
		lots []restoration.Lot
		last []int64
		want []int64
	}{
		"the only one of each part":      {[]restoration.Lot{tin(1, paint, 500), tin(2, hardener, 500)}, nil, []int64{1, 2}},
		"the only one that holds enough": {[]restoration.Lot{tin(1, paint, 99), tin(2, paint, 100)}, nil, []int64{2}},
		"one that is past its date":      {[]restoration.Lot{past, tin(2, paint, 100)}, []int64{9}, []int64{2}},
		"no choice but too little":       {[]restoration.Lot{tin(1, paint, 99)}, nil, []int64{1}},
		"a choice that is a person's":    {[]restoration.Lot{tin(1, paint, 500), tin(2, paint, 500)}, nil, nil},
		"the one used last":              {[]restoration.Lot{tin(1, paint, 500), tin(2, paint, 500)}, []int64{2}, []int64{2}},
		"used last, but nearly empty":    {[]restoration.Lot{tin(1, paint, 50), tin(2, paint, 500), tin(3, paint, 500)}, []int64{1}, []int64{2}},
		"two used last, one empty":       {[]restoration.Lot{tin(1, paint, 0), tin(2, paint, 500)}, []int64{1, 2}, []int64{2}},
		"none holds enough":              {[]restoration.Lot{tin(1, paint, 50), tin(2, paint, 60)}, []int64{1}, []int64{1}},
		"none was used, none is enough":  {[]restoration.Lot{tin(1, paint, 50), tin(2, paint, 60)}, nil, nil},
	} {
		f := filmInput{Lots: c.lots}
		coat := restoration.Deed{Kind: restoration.KindCoat}
		for _, id := range c.last {
			coat.Lots = append(coat.Lots, restoration.LotUse{Lot: id})
		}
		f.Scene.Deeds = []restoration.Deed{coat}
		require.Equal(t, c.want, f.chosenTins(m, 120, now), name)
	}
}
