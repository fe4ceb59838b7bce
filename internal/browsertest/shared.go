package browsertest

import (
	"context"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// shared is one browser for the tests of a package, as starting one takes longer than many
// a test. Each test has a profile of its own in it. It runs as long as a test uses it.
var shared struct {
	mu     sync.Mutex
	users  int
	ctx    context.Context
	cancel context.CancelFunc
}

// join gives the context of the shared browser, started where it doesn't run.
func join(t testing.TB) context.Context {
	t.Helper()
	shared.mu.Lock()
	defer shared.mu.Unlock()
	if shared.users == 0 {
		alloc, cancelAlloc := chromedp.NewExecAllocator(context.Background(), options(t)...)
		ctx, cancel := chromedp.NewContext(alloc)
		shared.ctx, shared.cancel = ctx, func() { cancel(); cancelAlloc() }
		// The first action starts the browser; its context must not carry a deadline.
		if err := chromedp.Do(ctx); err != nil {
			shared.cancel()
			require.NoError(t, err)
		}
	}
	shared.users++
	t.Cleanup(leave)
	return shared.ctx
}

func leave() {
	shared.mu.Lock()
	defer shared.mu.Unlock()
	if shared.users--; shared.users == 0 {
		shared.cancel()
	}
}
