//go:build long

package journal

// kills is how often the writing process is killed.
const kills = 100
