//go:build planted

package endtoend

// tags of the program under test.
const tags = "planted"
