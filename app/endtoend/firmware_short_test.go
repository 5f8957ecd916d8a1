//go:build window && !long

package endtoend

import "time"

// firmwareLasts is how long the emulated chip is driven.
const firmwareLasts = time.Minute
