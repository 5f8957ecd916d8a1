//go:build !windows && !darwin

package main

// needsDisplay says that a window needs a display server named in the environment.
const needsDisplay = true
