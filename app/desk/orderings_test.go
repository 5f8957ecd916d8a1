//go:build !long

package desk

// How many steps of the desk and ticks of the loop an order and a Stop fall between.
const (
	deskSteps = 1
	loopTicks = 2
)

// The same for goroutines: between how many gates of each, and how many orders of each situation.
const (
	deskGates, loopGates, linkGates = 3, 2, 2
	goroutineOrders                 = 1
)
