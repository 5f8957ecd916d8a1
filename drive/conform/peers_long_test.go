//go:build peers && long

package conform

// With everything it takes a minute.
const (
	peersMove = true
	peersTry  = 90
)
