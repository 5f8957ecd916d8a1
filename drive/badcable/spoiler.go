// Package badcable is a serial line that can be spoilt: it paces bytes by the
// baud rate, flips bits, drops and inserts bytes, doubles and delays replies,
// hangs and comes unplugged. Line is one in memory, in virtual time; Relay
// stands between two real ones. What happens follows from a seed.
package badcable

import (
	"fmt"
	"math/rand/v2"
	"time"
)

// Config says how good the line is. Shares are from 0 to 1.
type Config struct {
	// Baud and BitsPerCharacter pace the bytes; start, parity and stop bits count.
	Baud, BitsPerCharacter int
	Seed                   uint64
	// SpoiltBytes is the share of bytes in which one to three bits flip,
	// DroppedBytes of those that vanish, InsertedBytes of those that a noise byte goes before.
	SpoiltBytes, DroppedBytes, InsertedBytes float64
	// DoubledReplies is the share of replies that come twice, LateReplies of
	// those that come LateBy later than they should.
	DoubledReplies, LateReplies float64
	LateBy                      time.Duration
}

// Default is a good line at 19200 baud.
func Default() Config { return Config{Baud: 19200, BitsPerCharacter: 11} }

// Validate names the first field that cannot be used.
func (c Config) Validate() error {
	if c.Baud < 1200 || c.Baud > 1_000_000 {
		return fmt.Errorf("baud %d: 1200 to 1000000", c.Baud)
	}
	if c.BitsPerCharacter < 10 || c.BitsPerCharacter > 12 {
		return fmt.Errorf("bits per character %d: 10 to 12", c.BitsPerCharacter)
	}
	if c.LateBy < 0 || c.LateBy > time.Minute {
		return fmt.Errorf("late by %v: 0 to 1 minute", c.LateBy)
	}
	for _, share := range []float64{c.SpoiltBytes, c.DroppedBytes, c.InsertedBytes, c.DoubledReplies, c.LateReplies} {
		if !(share >= 0 && share <= 1) {
			return fmt.Errorf("share %v: 0 to 1", share)
		}
	}
	return nil
}

// Character is the time of one character.
func (c Config) Character() time.Duration {
	return time.Duration(c.BitsPerCharacter) * time.Second / time.Duration(c.Baud)
}

// spoiler spoils what passes. Each stream of a seed has chances of its own.
type spoiler struct {
	config Config
	chance *rand.Rand
}

func newSpoiler(c Config, stream uint64) spoiler {
	return spoiler{c, rand.New(rand.NewPCG(c.Seed, stream))}
}

func (s *spoiler) happens(share float64) bool { return share > 0 && s.chance.Float64() < share }

// bytes appends to dst what becomes of p.
func (s *spoiler) bytes(dst, p []byte) []byte {
	for _, b := range p {
		if s.happens(s.config.InsertedBytes) {
			dst = append(dst, byte(s.chance.Uint32()))
		}
		if s.happens(s.config.DroppedBytes) {
			continue
		}
		if s.happens(s.config.SpoiltBytes) {
			for range 1 + s.chance.IntN(3) {
				b ^= 1 << s.chance.IntN(8)
			}
		}
		dst = append(dst, b)
	}
	return dst
}

// reply appends to dst what becomes of a reply, and says by how much it is late.
func (s *spoiler) reply(dst, p []byte) (spoilt []byte, late time.Duration) {
	dst = s.bytes(dst, p)
	if s.happens(s.config.DoubledReplies) {
		dst = s.bytes(dst, p)
	}
	if s.happens(s.config.LateReplies) {
		late = s.config.LateBy
	}
	return dst, late
}
