package view

import "fmt"

// SimulatedDish stands on the practice mark.
const SimulatedDish = "simulated dish"

// PracticeUnder is the lower line of the practice mark: how fast the time runs where it isn't real time.
func PracticeUnder(now Now) string {
	if now.Status != nil && now.TimeScale > 1 {
		return TimeScale(now.TimeScale)
	}
	return SimulatedDish
}

// TimeScale names a time scale of practice.
func TimeScale(scale int) string {
	if scale == 1 {
		return "Real time"
	}
	return fmt.Sprintf("Time × %d", scale)
}

// TimeScaleTip says what a time scale of practice means.
func TimeScaleTip(scale int) string {
	if scale == 1 {
		return "Sky and clock in step with the dish: for measurements and for transmitting"
	}
	return fmt.Sprintf("Sky and clock run %d times as fast, the dish as it does; no measurements, no transmit permit",
		scale)
}
