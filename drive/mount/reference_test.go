package mount

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/soniakeys/unit"
)

// What earlier versions kept of a reference is read as it was meant, and written the same.
func TestKeptReference(t *testing.T) {
	const kept = `{"counts":-1500,"angle_deg":-12.5,"start_counter":7,"last_counts":2600,"found":"by the mark",` +
		`"at":"2027-04-14T18:51:00Z"}`
	want := Reference{
		Zero: Zero{Counts: -1500, Angle: unit.AngleFromDeg(-12.5)}, Start: 7, LastCounts: 2600, Origin: ByMark,
		AtUnixNanos: time.Date(2027, 4, 14, 18, 51, 0, 0, time.UTC).UnixNano(),
	}
	var got Reference
	if err := json.Unmarshal([]byte(kept), &got); err != nil || got != want {
		t.Fatalf("read %+v (%v), want %+v", got, err, want)
	}
	if text, err := json.Marshal(got); err != nil || string(text) != kept {
		t.Errorf("written as %s (%v)", text, err)
	}
	for origin, words := range map[Origin]string{NoOrigin: "not referenced", ByMark: "by the mark",
		ByBeam: "by the beam on a target", ByHand: "confirmed by the operator",
		ByEncoder: "by the absolute encoder"} {
		err := json.Unmarshal([]byte(strings.Replace(kept, "by the mark", words, 1)), &got)
		if err != nil || got.Origin != origin {
			t.Errorf("%q is read as %v (%v)", words, got.Origin, err)
		}
	}
	for _, damaged := range []string{"by hearsay", "", "BY THE MARK"} {
		if json.Unmarshal([]byte(strings.Replace(kept, "by the mark", damaged, 1)), &got) == nil {
			t.Errorf("an origin %q is taken", damaged)
		}
	}
	if json.Unmarshal([]byte(strings.Replace(kept, "-12.5", "3601", 1)), &got) == nil {
		t.Error("an angle of more than ten turns is taken")
	}
}
