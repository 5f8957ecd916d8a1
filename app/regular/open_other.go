//go:build !unix

package regular

const nonBlocking = 0
