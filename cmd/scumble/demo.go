package main

import "context"

type demoCommand struct {
	listenFlags
}

// Run serves an invented shop.
func (c *demoCommand) Run(_ context.Context) error { return nil }
