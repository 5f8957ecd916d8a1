//go:build unix

package regular

import "syscall"

// nonBlocking keeps the opening of a pipe from waiting for its writer.
const nonBlocking = syscall.O_NONBLOCK
