// Package plant is the simulated dish: motors, gears, structure, wind, supplies
// and noise, as the enclosure's circuits meet them. It is pure.
package plant
