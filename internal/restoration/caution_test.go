package restoration

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestShippedCautionsStay(t *testing.T) {
	t.Parallel()
	stock := StockRoute()
	for i := range stock.Stages {
		stock.Stages[i].Cautions = nil
	}
	require.Equal(t, StockRoute(), stock.WithCautions(), "blanked ones come back")
	require.Equal(t, StockRoute(), StockRoute().WithCautions(), "whole ones stay as they are")

	own := Route{Stages: []Stage{
		{Key: "lacquered", Look: LookCleared, Booth: true, Cautions: []string{"Test the air hose."}},
		{Key: "gilded", Look: LookOther},
		{Key: "sprayed", Look: LookOther, Booth: true},
	}}.WithCautions()
	require.Equal(t, []string{cautionSpray, cautionBooth, "Test the air hose."}, own.Stages[0].Cautions, "by its look")
	require.Empty(t, own.Stages[1].Cautions)
	require.Equal(t, []string{cautionSpray, cautionBooth}, own.Stages[2].Cautions, "what is sprayed is sprayed")
	require.Equal(t, []string{"Test the air hose."}, OwnCautions(own.Stages[0]))
}
