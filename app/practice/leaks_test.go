package practice

import (
	"testing"

	"go.uber.org/goleak"
)

// TestMain: whatever is started here ends with its owner.
func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }
