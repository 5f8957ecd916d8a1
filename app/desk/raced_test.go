//go:build race

package desk

// oneIn: the race detector watches each seventh order of arrival. What the goroutines share is the same in all of them;
// all are tried without it.
const oneIn = 7
