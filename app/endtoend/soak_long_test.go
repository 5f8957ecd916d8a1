//go:build window && long

package endtoend

import "time"

// soakLasts is how long the program is watched.
const soakLasts = 2 * time.Hour
