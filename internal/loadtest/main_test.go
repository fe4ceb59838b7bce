package main

import (
	"testing"

	"scumble/internal/store/storetest"
)

func TestMain(m *testing.M) { storetest.Main(m) }
