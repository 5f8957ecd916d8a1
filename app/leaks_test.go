package main

import (
	"testing"

	"go.uber.org/goleak"
)

// TestMain: whatever is started here ends with its owner. Fyne keeps one goroutine of its own for as long as there is
// an app.
func TestMain(m *testing.M) {
	goleak.VerifyTestMain(m, goleak.IgnoreTopFunction(
		"fyne.io/fyne/v2/internal/async.(*UnboundedChan[...]).processing"))
}
