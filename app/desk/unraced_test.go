//go:build !race

package desk

// oneIn: every order of arrival is tried.
const oneIn = 1
