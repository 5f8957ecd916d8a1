//go:build unix

package main

import (
	"os"
	"syscall"
)

// again runs the program anew in place of this one.
func again(path string, args []string) error { return syscall.Exec(path, args, os.Environ()) }
