package main

import (
	"os"
	"testing"

	"scumble/internal/store/storetest"
)

// asProgram is set where the test binary is started as the program itself, so that
// a test can kill it.
const asProgram = "SCUMBLE_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
		return
	}
	storetest.Main(m)
}
