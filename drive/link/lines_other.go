//go:build !linux

package link

import "os"

// lower leaves the lines to the opening, which sets them.
func lower(*os.File) bool { return true }
