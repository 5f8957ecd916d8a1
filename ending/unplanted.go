//go:build !planted

package ending

// Here is a place at which the tests' own build can fail or hang; any other build passes it.
func Here(string) {}
