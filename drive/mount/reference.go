package mount

import (
	"encoding/json"
	"fmt"
	"math"
	"time"

	"github.com/soniakeys/unit"
)

// Origin says how a reference was found.
type Origin uint8

const (
	NoOrigin  Origin = iota
	ByMark           // from the mark latch
	ByBeam           // the beam was on a target
	ByHand           // the operator confirmed or entered the angle and cable turn
	ByEncoder        // an absolute encoder with a set zero
)

var originWords = [...]string{"not referenced", "by the mark", "by the beam on a target", "confirmed by the operator",
	"by the absolute encoder"}

// String gives the origin as the screen writes it.
func (o Origin) String() string {
	if int(o) < len(originWords) {
		return originWords[o]
	}
	return fmt.Sprintf("origin %d", uint8(o))
}

// Reference is what makes counts into an angle. It is kept outside the
// settings, and trusted only for the enclosure start it was found in, or where
// the counts survive a power loss.
type Reference struct {
	Zero
	// Start is the enclosure's start counter when it was found.
	Start uint16
	// LastCounts are the counts last seen under this reference, to offer a
	// last known place after a restart.
	LastCounts int32
	Origin     Origin
	// AtUnixNanos is when it was found, wall time.
	AtUnixNanos int64
}

// Valid reports whether the reference may be trusted for the enclosure start
// with that counter. survive says that the counts outlive a power loss.
func (r Reference) Valid(start uint16, survive bool) bool {
	return r.Origin != NoOrigin && (survive || r.Start == start)
}

// keptReference is the form in which a reference is kept.
type keptReference struct {
	Counts     int32     `json:"counts"`
	AngleDeg   float64   `json:"angle_deg"`
	Start      uint16    `json:"start_counter"`
	LastCounts int32     `json:"last_counts"`
	Origin     string    `json:"found"`
	At         time.Time `json:"at"`
}

// MarshalJSON writes the reference for keeping.
func (r Reference) MarshalJSON() ([]byte, error) {
	return json.Marshal(keptReference{r.Counts, r.Angle.Deg(), r.Start, r.LastCounts, r.Origin.String(),
		time.Unix(0, r.AtUnixNanos).UTC()})
}

// UnmarshalJSON reads what MarshalJSON wrote. An origin it does not know or an
// angle beyond ten turns is an error: a damaged reference must not be trusted.
func (r *Reference) UnmarshalJSON(b []byte) error {
	var k keptReference
	if err := json.Unmarshal(b, &k); err != nil {
		return fmt.Errorf("reading a kept reference: %w", err)
	}
	if !(math.Abs(k.AngleDeg) <= 3600) {
		return fmt.Errorf("reading a kept reference: angle_deg %v is not within -3600 to 3600 degrees", k.AngleDeg)
	}
	for i, words := range originWords {
		if words == k.Origin {
			*r = Reference{Zero{k.Counts, unit.AngleFromDeg(k.AngleDeg)}, k.Start, k.LastCounts, Origin(i),
				k.At.UnixNano()}
			return nil
		}
	}
	return fmt.Errorf("reading a kept reference: found %q is not a known origin", k.Origin)
}
