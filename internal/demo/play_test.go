package demo

import (
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Whatever acts are about, those that have to do with each other come in the tale's order.
func TestLawActsKeepTheirOrder(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		acts := rapid.SliceOfN(rapid.SliceOfN(rapid.SampledFrom([]any{"steel", "wood", "glass"}), 0, 2), 2, 12).Draw(t, "acts")
		var q queue
		var mu sync.Mutex
		var order []int
		var running sync.WaitGroup
		begin := make(chan struct{})
		for i, things := range acts {
			wait, end := q.join(things)
			running.Go(func() {
				<-begin
				for _, earlier := range wait {
					<-earlier
				}
				mu.Lock()
				order = append(order, i)
				mu.Unlock()
				close(end)
			})
		}
		close(begin)
		running.Wait()
		for later, things := range acts {
			for earlier, others := range acts[:later] {
				if len(things) == 0 || len(others) == 0 || slices.ContainsFunc(things, func(v any) bool { return slices.Contains(others, v) }) {
					require.Less(t, slices.Index(order, earlier), slices.Index(order, later), "act %d before %d of %v", earlier, later, acts)
				}
			}
		}
	})
}
