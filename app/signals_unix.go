//go:build unix

package main

import (
	"os"
	"syscall"
)

// endingSignals are the signals that end the program. SIGQUIT also has it tell what it was at.
func endingSignals() []os.Signal {
	return []os.Signal{syscall.SIGTERM, syscall.SIGINT, syscall.SIGHUP, syscall.SIGQUIT}
}
