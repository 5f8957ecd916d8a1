//go:build unix

package main

import (
	"os"
	"syscall"
)

// again restarts the program in place of this one.
func again(path string, args []string) error { return syscall.Exec(path, args, os.Environ()) }
