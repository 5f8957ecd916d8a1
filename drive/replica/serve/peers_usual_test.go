//go:build peers && !long

package serve

// libmodbusSeconds is how long libmodbus makes 20 exchanges a second.
const libmodbusSeconds = 5
