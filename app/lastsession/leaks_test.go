package lastsession

import (
	"testing"

	"go.uber.org/goleak"
)

// TestMain: whatever a keeper starts ends with it.
func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }
