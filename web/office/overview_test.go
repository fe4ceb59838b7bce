package office

import (
	"bytes"
	"fmt"
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// BenchmarkShopPage is the page of a shop of so many cars, without the database: the
// part of the page's time that is ours.
func BenchmarkShopPage(b *testing.B) {
	for _, cars := range []int{5, 200} {
		b.Run(fmt.Sprintf("cars=%d", cars), func(b *testing.B) {
			d := emptyShop()
			for i := range cars {
				roll := restoration.CarRoll{Car: restoration.Car{ID: int64(i), WorkOrder: fmt.Sprintf("26-%03d", i), Name: "1936 Brennick Eight",
					State: restoration.CarInWork, Ground: fmt.Sprintf("#9a6a%02x", i), Grain: "#3f2413"}}
				for _, s := range stock().Stages {
					roll.Stages = append(roll.Stages, restoration.StageRoll{Stage: s.Key, Name: s.Name, Look: s.Look, Pieces: 20, Planned: 900, Left: 400})
					roll.Left += 400
					roll.Earned += 500
				}
				d.Roll.Cars = append(d.Roll.Cars, roll)
			}
			var out bytes.Buffer
			b.ReportAllocs()
			for b.Loop() {
				out.Reset()
				page := newShopPage(d, ui.PageProps{Title: "The shop", Person: "Ada"}, &url.URL{Path: "/office"})
				require.NoError(b, shopView(page).Render(b.Context(), &out))
			}
			b.ReportMetric(float64(out.Len())/1000, "kB")
		})
	}
}

func TestCarsSortByTheAddress(t *testing.T) {
	t.Parallel()
	cars := []restoration.CarRoll{
		{Car: restoration.Car{WorkOrder: "26-001", Name: "Ostrand"}, Roll: restoration.Roll{Left: 60, Held: 60}},
		{Car: restoration.Car{WorkOrder: "26-002", Name: "Ardwyn", PromisedOn: noon}, Roll: restoration.Roll{Left: 180}},
		{Car: restoration.Car{WorkOrder: "26-003", Name: "Brennick", State: restoration.CarDelivered}, Roll: restoration.Roll{Left: 120}},
	}
	for key, want := range map[string][]string{
		"": {"26-002", "26-001", "26-003"}, "left": {"26-001", "26-003", "26-002"}, "-left": {"26-002", "26-003", "26-001"},
		"car": {"26-002", "26-003", "26-001"}, "-held": {"26-001", "26-002", "26-003"}, "-nonsense": {"26-002", "26-001", "26-003"},
	} {
		sortCars(cars, key)
		var got []string
		for _, c := range cars {
			got = append(got, c.Car.WorkOrder)
		}
		require.Equal(t, want, got, key)
	}
}
