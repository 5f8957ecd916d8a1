//go:build peers && !long

package conform

// Without moving anything it takes 12 s.
const (
	peersMove = false
	peersTry  = 49
)
