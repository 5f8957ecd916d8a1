//go:build !unix

package main

import "os"

// endingSignals are the signals that end the program.
func endingSignals() []os.Signal { return []os.Signal{os.Interrupt} }
