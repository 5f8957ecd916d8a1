//go:build linux && !long

package link

// tornDown is how often the port is torn down.
const tornDown = 5
