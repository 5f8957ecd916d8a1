//go:build !unix

package main

import (
	"os"
	"os/exec"
)

// again restarts the program beside this one, which is about to end.
func again(path string, args []string) error {
	c := exec.Command(path, args[1:]...)
	c.Stdin, c.Stdout, c.Stderr = os.Stdin, os.Stdout, os.Stderr
	return c.Start()
}
