//go:build !planted

package main

// withoutWindow lets the tests' own build run a session without a window; any other build never does.
func withoutWindow(*session) bool { return false }
