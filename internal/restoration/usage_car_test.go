package restoration_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// 600 mL of 540 g/L are 324 g, 400 mL of 500 g/L 200 g; the water of 26-001 states none.
func TestUsageByCar(t *testing.T) {
	t.Parallel()
	cars := restoration.UsageByCar([]restoration.Sprayed{
		{CarID: 2, WorkOrder: "26-002", Car: "Larkhall", ML: 600, VOCGramsPerL: 540},
		{CarID: 1, WorkOrder: "26-001", Car: "Brennick", ML: 250},
		{CarID: 2, WorkOrder: "26-002", Car: "Larkhall", ML: 400, VOCGramsPerL: 500},
	})
	require.Equal(t, []restoration.CarUse{
		{CarID: 1, WorkOrder: "26-001", Car: "Brennick", Coats: 1, ML: 250, Unstated: 250},
		{CarID: 2, WorkOrder: "26-002", Car: "Larkhall", Coats: 2, ML: 1000, VOCGrams: 524},
	}, cars)
	require.Empty(t, restoration.UsageByCar(nil))
}
