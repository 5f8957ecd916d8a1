// Package clock is the computer's clock where date and time are read from it, not how long something
// lasts. The tests' own build can set it while the program runs.
package clock
