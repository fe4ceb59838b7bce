package main

import (
	"bufio"
	"context"
	"fmt"
	"net/http"
	"strings"
)

const (
	listeners     = 200
	listenerLimit = 20_000_000
)

// measureListeners takes what two hundred idle live streams cost: the growth of the
// program's resident size while they are opened. The first two hundred may fit into what
// the sign-in has left to be collected, so that the growth by the next counts as well.
func measureListeners(ctx context.Context, s *site) ([]figure, error) {
	url, err := s.shop(ctx, 1)
	if err != nil {
		return nil, err
	}
	a, err := startApp(ctx, s.binary, "serve", "--database-url", url)
	if err != nil {
		return nil, err
	}
	defer a.stop()
	owner, err := a.signInOwner(ctx)
	if err != nil {
		return nil, err
	}
	var sizes [3]int
	for i := range sizes {
		if i > 0 {
			err = owner.listenTimes(ctx, listeners)
		}
		if err == nil {
			sizes[i], err = resident(a.cmd.Process.Pid)
		}
		if err != nil {
			return nil, err
		}
	}
	cost := max(sizes[1]-sizes[0], sizes[2]-sizes[1])
	return []figure{{
		Name: fmt.Sprintf("%d idle live streams", listeners), Limit: "≤ 20 MB",
		Measured: fmt.Sprintf("%.1f MB", mB(cost)), Held: cost <= listenerLimit,
		Detail: fmt.Sprintf("VmRSS: %.0f MB with none, %.0f with %d, %.0f with %d",
			mB(sizes[0]), mB(sizes[1]), listeners, mB(sizes[2]), 2*listeners),
	}}, nil
}

func (v *visitor) listenTimes(ctx context.Context, n int) error {
	for range n {
		if err := v.listen(ctx); err != nil {
			return err
		}
	}
	return nil
}

// listen opens a live stream that stays open until ctx ends, and waits for its first
// word.
func (v *visitor) listen(ctx context.Context) error {
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, v.base+"/office/live", nil)
	if err != nil {
		return err
	}
	lasting := *v.client
	lasting.Timeout = 0
	resp, err := lasting.Do(r)
	if err != nil {
		return err
	}
	context.AfterFunc(ctx, func() { _ = resp.Body.Close() })
	for lines := bufio.NewScanner(resp.Body); lines.Scan(); {
		if strings.HasPrefix(lines.Text(), "data: ") {
			return nil
		}
	}
	return fmt.Errorf("the live stream ended with %s", resp.Status)
}
