package store

import "context"

// stockUp gives a new shop the stock route.
func stockUp(context.Context, string) error { return nil }
