//go:build peers && !long

package rig

import "time"

// rounds is at how many moments each contact is opened.
const rounds = 4

// trackFor is how long the Moon is followed.
const trackFor = 2 * time.Minute
