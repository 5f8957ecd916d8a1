package widget

import (
	"testing"

	"go.uber.org/goleak"
)

// TestMain: whatever is started here ends with its owner. A tip of the tooltip library sleeps on for three quarters of
// a second after the pointer has gone.
func TestMain(m *testing.M) {
	goleak.VerifyTestMain(m,
		goleak.IgnoreTopFunction("github.com/dweymouth/fyne-tooltip/widget.(*toolTipContext).setPendingToolTip.func1"))
}
