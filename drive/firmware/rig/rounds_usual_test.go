//go:build peers && !long

package rig

import "time"

const (
	// rounds is at how many moments each contact is opened.
	rounds = 4
	// trackFor is how long the Moon is followed.
	trackFor = 2 * time.Minute
	// askedTimes is how many requests are made from each of the seeds.
	askedTimes, askedSeeds = 5000, 1
)
