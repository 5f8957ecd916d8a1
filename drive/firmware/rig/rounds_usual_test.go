//go:build peers && !long

package rig

// rounds is at how many moments each contact is opened.
const rounds = 4
