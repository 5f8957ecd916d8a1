//go:build long

package desk

// How many steps of the desk and ticks of the loop an order and a Stop fall between.
const (
	deskSteps = 2
	loopTicks = 3
)

// The same for goroutines: between how many gates of each, and how many orders of each situation.
const (
	deskGates, loopGates, linkGates = 4, 4, 2
	goroutineOrders                 = 9
)
