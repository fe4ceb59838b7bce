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
