//go:build !planted

package ending

// planted is where the tests' own build plants a panic; any other build has none.
func planted(string) {}

// Here is a place at which the tests' own build can fail or hang; any other build passes it.
func Here(string) {}
