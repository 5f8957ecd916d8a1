//go:build unix

package main

import (
	"os"
	"syscall"
)

// endingSignals are the signals that end the program.
func endingSignals() []os.Signal {
	return []os.Signal{syscall.SIGTERM, syscall.SIGINT, syscall.SIGHUP}
}
