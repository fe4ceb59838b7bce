package store_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/store/storetest"
)

func TestEnterSmoke(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	ctx := t.Context()
	c, err := s.NewCar(ctx, restoration.Actor{}, restoration.Car{Name: "1936 Brennick Eight", Quality: restoration.QualityShow, Ground: "#9a6a3c", Grain: "#3b2413"},
		[]restoration.NewPiece{{Details: restoration.Details{Name: "Ash tray", Zone: restoration.ZoneFront, AreaM2: 0.02, BothM2: .04, Size: restoration.SizeSmall, Mounting: restoration.MountBench, Metal: "steel"}}})
	require.NoError(t, err)
	ps, err := s.CarPieces(ctx, c.ID)
	require.NoError(t, err)
	require.Len(t, ps, 1)
	t.Logf("%+v", ps[0])
}
