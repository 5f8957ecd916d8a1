//go:build peers && long

package rig

import "time"

// rounds is at how many moments each contact is opened.
const rounds = 32

// trackFor is how long the Moon is followed.
const trackFor = time.Hour
