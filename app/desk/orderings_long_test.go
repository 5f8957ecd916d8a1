//go:build long

package desk

// How many steps of the desk and ticks of the loop an order and a Stop fall between.
const (
	deskSteps = 2
	loopTicks = 3
)
