//go:build peers

package rig

import (
	"encoding/binary"
	"slices"
	"testing"
	"time"

	"beamhelm/drive/firmware"
	"beamhelm/drive/rtu"
)

// TestWhatIsNotThereReadsNotFitted: what the page of registers offers and this
// firmware has not, with everything else fitted, and all that a bare station
// lacks, read as the page says of what isn't fitted; what is ordered of it is
// taken, reads back, and moves no pin.
func TestWhatIsNotThereReadsNotFitted(t *testing.T) {
	t.Parallel()
	type row struct {
		register, mask, want uint16
		what                 string
	}
	never := []row{
		{0x01, 1 << 7, 0, "counts that survive loss of power"},
		{0x01, 3 << 8, 0, "absolute counts"},
		{0x01, 1 << 12, 0, "a feed turner"},
		{0x09, 0xFFFF, 0, "counts per turn"}, {0x0A, 0xFFFF, 0, "counts per turn"},
		{0x0B, 0xFFFF, 0, "counts per turn"}, {0x0C, 0xFFFF, 0, "counts per turn"},
		{0x3E, 0xFFFF, 0x8000, "actual feed rotation"},
		{0x5D, 0xFFFF, 0x8000, "the end of the readings"}, {0x5E, 0xFFFF, 0x8000, "the end of the readings"},
		{0x5F, 0xFFFF, 0x8000, "the end of the readings"},
	}
	bare := []row{
		{0x01, 0xFFFF, 3, "anything but two axes"},
		{0x26, 0xFFFF, 0x8000, "azimuth current"}, {0x27, 0xFFFF, 0x8000, "elevation current"},
		{0x30, 0xFFFF, 0x8000, "a noise detector"}, {0x31, 0xFFFF, 0, "a noise detector"},
		{0x3D, 0xFFFF, 0x8000, "a band switch"},
		{0x2F, 3 << 4, 0, "brakes"},
	}
	for register := uint16(0x40); register <= 0x5F; register++ {
		if register != 0x58 { // the sequence
			bare = append(bare, row{register, 0xFFFF, 0x8000, "a reading"})
		}
	}
	for _, body := range []Body{Chip, Native} {
		for name, station := range map[string]struct {
			rows map[string][]int64
			want []row
		}{
			"everything": {everything(), never},
			"bare":       {map[string][]int64{"current_full": {0, 0}, "reference_mv": {0}}, append(bare, never...)},
		} {
			t.Run(string(body)+", "+name, func(t *testing.T) {
				r := New(t, body, stationWith(t, station.rows))
				r.For(3 * time.Second)
				before := outputs(r)
				// outputs without a pin
				ask(t, r, &rtu.Request{Function: rtu.WriteOne, WriteAddress: 0x18, Write: []uint16{0xF0}})
				// feed rotation
				ask(t, r, &rtu.Request{Function: rtu.WriteOne, WriteAddress: 0x1A, Write: []uint16{900}})
				reply := ask(t, r, &rtu.Request{Function: rtu.ReadHolding, ReadCount: 0x60})
				for _, row := range append(station.want, row{0x18, 0xFFFF, 0xF0, "outputs, as written"},
					row{0x1A, 0xFFFF, 900, "feed rotation, as written"}) {
					if got := binary.BigEndian.Uint16(reply[3+2*row.register:]) & row.mask; got != row.want {
						t.Errorf("%s: %04X reads %04X, want %04X", row.what, row.register, got, row.want)
					}
				}
				r.For(100 * time.Millisecond)
				for name, was := range before {
					if is := outputs(r)[name]; is != was {
						t.Errorf("%s was %v and is %v", name, was, is)
					}
				}
			})
		}
	}
}

// outputs are the levels of what the chip drives, but for the line's transceiver.
func outputs(r *Rig) map[string]bool {
	levels := map[string]bool{}
	for _, pin := range firmware.Pins() {
		if pin.Kind == firmware.Out && pin.Name != "LINE_DE" || pin.Kind == firmware.PWM {
			levels[pin.Name] = r.High(pin.Name)
		}
	}
	return levels
}

// ask makes a request of unit 1 and returns the reply.
func ask(t *testing.T, r *Rig, q *rtu.Request) []byte {
	t.Helper()
	q.Unit = 1
	r.Sent, r.SentAt = nil, nil
	r.Send(q.Append(nil))
	if !r.Until(500*time.Millisecond, func() bool { return rtu.CRCValid(r.Sent) && len(r.Sent) > 4 }) ||
		r.Sent[1] != byte(q.Function) {
		t.Fatalf("the answer is % X", r.Sent)
	}
	return slices.Clone(r.Sent)
}
