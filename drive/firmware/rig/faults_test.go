//go:build peers

package rig

import (
	"os"
	"testing"
	"time"
)

// fine is how many cycles pass between two looks at the bridges' pins.
const fine = 500

// whatEndsMotion are contacts that open, and what must come of it within 2 ms.
var whatEndsMotion = []struct {
	name    string
	contact string
	demand  [2]int16
	ends    [2]bool // axes that must come to rest
	trip    uint16
	maximum float64 // ms
}{
	{"clockwise end", "AZ_CLOCKWISE", [2]int16{8000, 8000}, [2]bool{true, false}, 0, 2},
	{"counter-clockwise end", "AZ_COUNTER", [2]int16{-8000, 8000}, [2]bool{true, false}, 0, 2},
	{"upper end", "EL_UPPER", [2]int16{8000, 8000}, [2]bool{false, true}, 0, 2},
	{"lower end", "EL_LOWER", [2]int16{8000, -8000}, [2]bool{false, true}, 0, 2},
	{"stop circuit", "STOP", [2]int16{10000, -10000}, [2]bool{true, true}, 1 << 4, 2},
	{"hand panel", "HAND", [2]int16{-9000, 9000}, [2]bool{true, true}, 1 << 5, 5},
	{"azimuth drive fault", "AZ_FAULT", [2]int16{9000, 9000}, [2]bool{true, true}, 1 << 1, 5},
	{"elevation drive fault", "EL_FAULT", [2]int16{9000, 9000}, [2]bool{true, true}, 1 << 2, 5},
	{"drive power lost", "SUPPLY", [2]int16{9000, 9000}, [2]bool{true, true}, 1 << 6, 5},
}

// TestContactsEndMotion opens each contact in a slew, at many moments between
// ticks and exchanges, and times the bridges' pins.
func TestContactsEndMotion(t *testing.T) {
	t.Parallel()
	for _, c := range whatEndsMotion {
		d := newDriven(t, Chip, nil)
		longest, times := uint64(0), rounds
		for k := range times {
			d.override = nil
			d.Set(0, c.contact, false)
			d.powerOn(c.demand)
			d.run(time.Duration(k*8) * time.Millisecond)
			open := d.now + uint64(k)*Millisecond/uint64(times)/fine*fine
			for d.now < open {
				d.step(fine)
			}
			d.override = func(r *Rig) { r.set(0, c.contact, true) }
			d.Set(0, c.contact, true)
			rest := [2]uint64{}
			for range 20 {
				d.pass(fine, func() {
					for i := range rest {
						if rest[i] == 0 && d.still(i) {
							rest[i] = d.now - open
						}
					}
				})
			}
			for i, must := range c.ends {
				switch {
				case must && rest[i] == 0:
					t.Fatalf("%s: axis %d is still driven after 20 ms", c.name, i)
				case !must && rest[i] != 0:
					t.Fatalf("%s: axis %d came to rest as well", c.name, i)
				case must:
					longest = max(longest, rest[i])
				}
			}
			if trips := d.register(0x2E); trips&^1 != c.trip {
				t.Fatalf("%s: trips %04X, want %04X", c.name, trips, c.trip)
			}
		}
		t.Logf("%-22s at most %.3f ms of %d", c.name, milliseconds(longest), times)
		if milliseconds(longest) > c.maximum {
			t.Errorf("%s: %.3f ms, at most %.0f", c.name, milliseconds(longest), c.maximum)
		}
		d.Stop()
	}
}

// TestBothEndsOpenEndMotion: a broken cable to an axis' end switches, and nothing drives it either way any more.
func TestBothEndsOpenEndMotion(t *testing.T) {
	t.Parallel()
	d := newDriven(t, Chip, nil)
	d.powerOn([2]int16{8000, 8000})
	d.override = func(r *Rig) { r.set(0, "AZ_CLOCKWISE", true); r.set(0, "AZ_COUNTER", true) }
	begun, rest := d.now, uint64(0)
	for range 20 {
		d.pass(fine, func() {
			if rest == 0 && d.still(0) {
				rest = d.now - begun
			}
		})
	}
	t.Logf("both ends open: %.3f ms", milliseconds(rest))
	if rest == 0 || milliseconds(rest) > 2 {
		t.Errorf("at rest after %.3f ms", milliseconds(rest))
	}
	for _, demand := range []int16{8000, -8000} {
		d.demand[0] = demand
		for range 1500 {
			d.pass(Millisecond, nil)
			if !d.still(0) {
				t.Fatal("it is driven with both ends open")
			}
		}
	}
	if d.still(1) {
		t.Error("the other axis rests")
	}
}

// TestAwayFromAnEnd: an open end lets the axis go the other way, and only that.
func TestAwayFromAnEnd(t *testing.T) {
	t.Parallel()
	for _, body := range []Body{Chip, Native} {
		d := newDriven(t, body, nil)
		d.powerOn([2]int16{8000, 8000})
		d.override = func(r *Rig) { r.set(0, "AZ_CLOCKWISE", true) }
		d.run(1500 * time.Millisecond)
		if !d.still(0) {
			t.Fatal("it is driven into the end")
		}
		d.demand[0] = -5000
		d.run(1200 * time.Millisecond)
		if got := d.Driven(0); got > -0.49 || got < -0.51 {
			t.Errorf("away from the end its drive is %.3f", got)
		}
	}
}

// TestSilenceEndsMotion: the cable is cut in a slew. The time counts from the last byte of the last request.
func TestSilenceEndsMotion(t *testing.T) {
	t.Parallel()
	for _, period := range []uint16{200, 1000, 2000} {
		longest := uint64(0)
		for k := range rounds / 2 {
			d := newDriven(t, Chip, nil)
			d.watchdog = period
			d.powerOn([2]int16{10000, -10000})
			d.run(time.Duration(25*k) * time.Millisecond)
			d.silent = true
			rest := uint64(0)
			for range int(period) + 20 {
				d.pass(fine, func() {
					if rest == 0 && d.still(0) && d.still(1) {
						rest = d.now - d.asked
					}
				})
			}
			if rest == 0 {
				t.Fatalf("watchdog of %d ms: still driven", period)
			}
			longest = max(longest, rest)
			if d.High("CONTACTOR") || d.register(0x2E) != 1 {
				t.Errorf("watchdog of %d ms: contactor %v, trips %04X", period, d.High("CONTACTOR"), d.register(0x2E))
			}
			d.Stop()
		}
		t.Logf("watchdog of %d ms: nothing on the bridges at most %.3f ms after the last request", period,
			milliseconds(longest))
		if milliseconds(longest) > float64(period)+2 {
			t.Errorf("watchdog of %d ms: %.3f ms", period, milliseconds(longest))
		}
	}
}

// TestHangEndsMotion: the program goes round in one place in a slew, with and
// without interrupts; the chip's own watchdog restarts it.
func TestHangEndsMotion(t *testing.T) {
	t.Parallel()
	for _, interrupts := range []bool{true, false} {
		d := newDriven(t, Chip, nil)
		d.powerOn([2]int16{10000, 10000})
		starts := d.register(0x04)
		d.run(40 * time.Millisecond)
		d.Hang(interrupts)
		begun, rest := d.now, uint64(0)
		for range 100 {
			d.pass(fine, func() {
				if rest == 0 && d.still(0) && d.still(1) && !d.High("CONTACTOR") {
					rest = d.now - begun
				}
			})
		}
		t.Logf("hang, interrupts %v: everything off after %.2f ms", interrupts, milliseconds(rest))
		if rest == 0 || milliseconds(rest) > 35 {
			t.Errorf("everything off after %.2f ms", milliseconds(rest))
		}
		d.run(300 * time.Millisecond)
		if !d.still(0) || !d.still(1) || d.High("CONTACTOR") {
			t.Error("after the restart it drives again by itself")
		}
		if trips, now := d.register(0x2E), d.register(0x04); trips != 1<<3 || now != starts+1 || d.Seen.Resets != 1 {
			t.Errorf("trips %04X, starts %d after %d, %d restarts", trips, now, starts, d.Seen.Resets)
		}
		d.powerOn([2]int16{5000, 5000}) // and it can be driven again, ends and all
	}
}

// TestBrownOutEndsMotion: the supply dips in a slew.
func TestBrownOutEndsMotion(t *testing.T) {
	t.Parallel()
	d := newDriven(t, Chip, nil)
	d.powerOn([2]int16{10000, 10000})
	starts := d.register(0x04)
	d.Reset(4)
	if !d.still(0) || !d.still(1) || d.High("CONTACTOR") {
		t.Error("something is driven while the chip is held")
	}
	for range 500 {
		d.pass(Millisecond, nil)
		if !d.still(0) || !d.still(1) || d.High("CONTACTOR") {
			t.Fatal("it drives again by itself")
		}
	}
	if trips, now := d.register(0x2E), d.register(0x04); trips != 1<<3 || now != starts+1 {
		t.Errorf("trips %04X, starts %d after %d", trips, now, starts)
	}
}

// TestHandPanelDrives: from its own power, bounded by the ends and the stop circuit alone.
func TestHandPanelDrives(t *testing.T) {
	t.Parallel()
	for _, body := range []Body{Chip, Native} {
		d := newDriven(t, body, nil)
		pressed, end, stop := true, false, false
		d.override = func(r *Rig) {
			r.set(0, "HAND", true)
			r.set(0, "HAND_COUNTER", !pressed)
			r.set(0, "AZ_COUNTER", end)
			r.set(0, "STOP", stop)
		}
		d.run(1200 * time.Millisecond)
		if got := d.Driven(0); got < -0.305 || got > -0.295 || d.High("CONTACTOR") {
			t.Fatalf("%s: by hand it has the drive %.3f, contactor %v", body, got, d.High("CONTACTOR"))
		}
		if applied := int16(d.register(0x28)); applied != -3000 {
			t.Errorf("%s: register 0028 shows %d", body, applied)
		}
		for _, what := range []*bool{&end, &stop} {
			*what = true
			d.run(5 * time.Millisecond)
			if !d.still(0) {
				t.Errorf("%s: an end or the stop circuit doesn't bound it", body)
			}
			*what = false
			d.run(1200 * time.Millisecond)
			if d.still(0) {
				t.Errorf("%s: it isn't driven again", body)
			}
		}
		pressed = false
		d.run(1200 * time.Millisecond)
		if !d.still(0) {
			t.Errorf("%s: it goes on without a button", body)
		}
	}
}

// TestTornWriteNeverLowersTheStartCounter: power is lost at each of the cells that a start writes.
func TestTornWriteNeverLowersTheStartCounter(t *testing.T) {
	t.Parallel()
	station := stationWith(t, everything())
	r := New(t, Chip, station)
	r.For(5 * time.Millisecond)
	told := uint16(0)
	kept := r.Kept()
	starts := func(kept []byte) (uint16, []byte) {
		d := &driven{Rig: New(t, Chip, station), t: t}
		defer d.Stop()
		d.Keep(kept)
		d.For(5 * time.Millisecond)
		return d.register(0x04), d.Kept()
	}
	for round := range 40 {
		number, after := starts(kept)
		if number <= told {
			t.Fatalf("round %d: start %d after %d", round, number, told)
		}
		told = number
		// The next start is cut short after some of the cells, the last of them spoilt.
		_, next := starts(after)
		var cells []int
		for i := range next {
			if next[i] != after[i] {
				cells = append(cells, i)
			}
		}
		kept = append([]byte(nil), after...)
		for k := range round % (len(cells) + 1) {
			kept[cells[k]] = next[cells[k]]
			if k == round%(len(cells)+1)-1 && round%3 == 0 {
				kept[cells[k]] = byte(0xA5 + 7*round)
			}
		}
	}
	t.Logf("40 starts cut short at any cell: %d at last, and always above what was told before", told)
}

// TestSpoiltTableFitsNothing: a table that is damaged, or an image without one, moves nothing.
func TestSpoiltTableFitsNothing(t *testing.T) {
	t.Parallel()
	plain, err := os.ReadFile("../enclosure.hex")
	if err != nil {
		t.Fatal(err)
	}
	for _, body := range []Body{Chip, Native} {
		r := &Rig{Process: start(t, body, plain), Station: stationWith(t, nil), body: body, high: map[string]bool{}}
		d := &driven{Rig: r, t: t}
		d.For(50 * time.Millisecond)
		if fitted := d.register(0x01); fitted != 0 {
			t.Errorf("%s: fitted is %04X", body, fitted)
		}
	}
}

// TestWatchdogCanBeTried: with both elevation buttons held at a start the
// firmware hangs once, and comes up again after the watchdog's restart.
func TestWatchdogCanBeTried(t *testing.T) {
	t.Parallel()
	d := &driven{Rig: New(t, Chip, stationWith(t, everything())), t: t}
	d.Set(0, "HAND_UP", false)
	d.Set(0, "HAND_DOWN", false)
	d.For(200 * time.Millisecond)
	if starts := d.register(0x04); starts != 2 || d.Seen.Resets != 1 {
		t.Errorf("%d starts, %d restarts by the watchdog", starts, d.Seen.Resets)
	}
}
