//go:build linux && !race && !long

package powerloss

// cuts is how often the power is cut.
const cuts = 10
