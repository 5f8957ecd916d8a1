package publish

import (
	"testing"

	"go.uber.org/goleak"
)

// TestMain: whatever publishing starts ends with it.
func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }
