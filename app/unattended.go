//go:build !planted

package main

// windowless lets the tests' own build run a session without a window; any other build never does.
func windowless() bool { return false }

func (p *session) attendedByLines() {}
