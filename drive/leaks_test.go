package drive

import (
	"testing"

	"go.uber.org/goleak"
)

// TestMain fails where a loop leaves a goroutine behind.
func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }
