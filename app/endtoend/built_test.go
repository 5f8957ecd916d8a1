//go:build window && !planted

package endtoend

// tags of the program under test.
const tags = ""
