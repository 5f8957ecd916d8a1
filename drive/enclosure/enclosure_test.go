package enclosure

import (
	"math"
	"slices"
	"testing"
)

// block is one block of the map, decoded and encoded again.
type block struct {
	name  string
	count int
	// again decodes the registers and encodes what came of it.
	again func([]uint16) ([]uint16, error)
	// fixed are registers of the block that hold nothing and are written as 0.
	fixed []int
}

func blocks() []block {
	return []block{
		{"identity", IdentityCount, func(r []uint16) ([]uint16, error) {
			d, err := DecodeIdentity(r)
			var out [IdentityCount]uint16
			d.Encode(&out)
			return out[:], err
		}, []int{13, 14}},
		{"demand", DemandCount, func(r []uint16) ([]uint16, error) {
			d, err := DecodeDemand(r)
			var out [DemandCount]uint16
			d.Encode(&out)
			return out[:], err
		}, nil},
		{"slow orders", 3, func(r []uint16) ([]uint16, error) {
			s, err := DecodeSlowOrders(r)
			var out [3]uint16
			s.Encode(&out)
			return out[:], err
		}, nil},
		{"motion", MotionCount, func(r []uint16) ([]uint16, error) {
			m, err := DecodeMotion(r)
			var out [MotionCount]uint16
			m.Encode(&out)
			return out[:], err
		}, nil},
		{"latches", LatchCount, func(r []uint16) ([]uint16, error) {
			l, err := DecodeLatches(r)
			var out [LatchCount]uint16
			l.Encode(&out)
			return out[:], err
		}, nil},
		{"readings", ReadingCount, func(r []uint16) ([]uint16, error) {
			v := NoReadings()
			err := v.Decode(AddressReadings, r)
			var out [ReadingCount]uint16
			v.Encode(r[SequenceCopy], &out)
			return out[:], err
		}, nil},
	}
}

// TestEveryValueOfEveryRegister: what was decoded is encoded as it came, for
// all 65536 values of each register beside a pattern in all the others.
func TestEveryValueOfEveryRegister(t *testing.T) {
	for _, b := range blocks() {
		registers, want := make([]uint16, b.count), make([]uint16, b.count)
		for k := range b.count {
			for i := range registers {
				registers[i] = uint16(i*0x1235 + 0x8001)
			}
			copy(want, registers)
			for _, i := range b.fixed {
				want[i] = 0
			}
			for v := range 1 << 16 {
				registers[k] = uint16(v)
				if !slices.Contains(b.fixed, k) {
					want[k] = uint16(v)
				}
				if got, err := b.again(registers); err != nil || !slices.Equal(got, want) {
					t.Fatalf("%s: register %d holding %04X: came back as %04X, %v, want %04X", b.name, k, v, got, err,
						want)
				}
			}
		}
	}
}

func TestWrongLengths(t *testing.T) {
	for _, b := range blocks() {
		for _, n := range []int{0, b.count - 1, b.count + 1} {
			registers := make([]uint16, n, n+SequenceCopy+1)
			if b.name == "readings" && n == b.count-1 {
				continue // a part of the block, which is allowed
			}
			if b.name == "readings" {
				if err := new(Readings).Decode(AddressReadings, registers); err == nil {
					t.Errorf("readings: %d registers were taken", n)
				}
				continue
			}
			if _, err := b.again(registers); err == nil {
				t.Errorf("%s: %d registers were taken, the block has %d", b.name, n, b.count)
			}
		}
	}
}

// TestPlaces holds each field to its address in the handbook's page of registers.
func TestPlaces(t *testing.T) {
	var all [RegisterCount]uint16
	put := func(address int, registers []uint16) { copy(all[address:], registers) }
	var identity [IdentityCount]uint16
	Identity{
		MapVersion: 1, Fitted: FittedAzimuth | FittedMarkLatch | FittedWarning, UptimeSeconds: 0x00020003,
		StartCounter: 4, Firmware: 0x0105,
		FixedSpeeds: [2]uint8{3, 7}, RampMillis: [2]uint16{1000, 1200},
		CountsPerTurn: [2]uint32{0x000A000B, 0x000C000D}, Highest: 0x5f,
	}.Encode(&identity)
	put(AddressIdentity, identity[:])
	var demand [DemandCount]uint16
	Demand{0x1234, OrderPower | OrderPermit | OrderAzOff | OrderElOff | OrderWarning, -10000, 10000, 1000,
		TripStarted}.Encode(&demand)
	put(AddressDemand, demand[:])
	var slow [3]uint16
	SlowOrders{OutputNoiseSource | OutputLight, 15, -900}.Encode(&slow)
	put(AddressSlow, slow[:])
	var motion [MotionCount]uint16
	(&Motion{
		State: StatePower | StateHand | StateStopOpen | EndLower(0) | EndUpper(1) | DriveFault(
			1) | StateKeyed | StateDoor | OnMark(1),
		More: MoreElUpward | MoreAzLost | MoreElBrake | MorePermitted | MoreClean | MoreComingOn, Sequence: 0x21,
		Counts: [2]int32{-2, 0x00240025}, Current: [2]int16{-150, NotFitted}, Applied: [2]int16{-9, 9},
		Millis: 0x002A002B,
		Since:  [2]uint16{0x2C, 65535}, Trips: TripWatchdog | TripElEncoder, DetectorUV: DetectorNotFitted,
		StartCounter: 0x32,
		Impossible:   [2]uint16{0x33, 0x34}, SinceKeyed: 0x35,
	}).Encode(&motion)
	put(AddressMotion, motion[:])
	var latches [LatchCount]uint16
	(&Latches{[2]int32{0x00360037, 0x0039003A}, [2]uint16{0x38, 0x3B}, 0x3C, 0x3D, NotFitted, 0x3F}).Encode(&latches)
	put(AddressLatches, latches[:])
	readings := NoReadings()
	for i := range readings.Raw {
		readings.Raw[i] = int16(0x40 + i)
	}
	var block [ReadingCount]uint16
	readings.Encode(0x58, &block)
	put(AddressReadings, block[:])
	want := map[int]uint16{
		0x00: 1, 0x01: 1 | 1<<10 | 1<<14, 0x02: 2, 0x03: 3, 0x04: 4, 0x05: 0x105, 0x06: 0x0307, 0x07: 1000, 0x08: 1200,
		0x09: 0xA, 0x0A: 0xB, 0x0B: 0xC, 0x0C: 0xD, 0x0F: 0x5F,
		0x10: 0x1234, 0x11: 0x3D, 0x12: 0xD8F0, 0x13: 0x2710, 0x14: 1000, 0x15: 8, 0x18: 9, 0x19: 15, 0x1A: 0xFC7C,
		0x20: 1 | 4 | 8 | 1<<5 | 1<<6 | 1<<9 | 1<<10 | 1<<11 | 1<<13, 0x21: 0x21, 0x22: 0xFFFF, 0x23: 0xFFFE,
		0x24: 0x24, 0x25: 0x25,
		0x26: 0xFF6A, 0x27: 0x8000, 0x28: 0xFFF7, 0x29: 9, 0x2A: 0x2A, 0x2B: 0x2B, 0x2C: 0x2C, 0x2D: 65535,
		0x2E: 1 | 1<<8,
		0x2F: 1<<1 | 1<<2 | 1<<5 | 1<<6 | 1<<7 | 1<<8, 0x30: 0x8000, 0x3E: 0x8000,
	}
	for address := 0x32; address < RegisterCount; address++ {
		if address != 0x3E {
			want[address] = uint16(address)
		}
	}
	for address, got := range all {
		if got != want[address] {
			t.Errorf("register %04X holds %04X, want %04X", address, got, want[address])
		}
	}
}

func TestAxis(t *testing.T) {
	m := Motion{
		State: StateElUpper | StateElFault | StateElMark | StateAzLower, More: MoreElUpward | MoreElLost | MoreElBrake,
		Counts: [2]int32{1, 2}, Current: [2]int16{3, 4}, Applied: [2]int16{5, 6}, Since: [2]uint16{7, 8},
		Impossible: [2]uint16{9, 10},
	}
	if got, want := m.Axis(1), (AxisMotion{2, 4, 6, 8, 10, true, true, true, false, true, true, true}); got != want {
		t.Errorf("elevation is %+v, want %+v", got, want)
	}
	if got, want := m.Axis(0), (AxisMotion{Counts: 1, Current: 3, Applied: 5, Since: 7, Impossible: 9,
		Lower: true}); got != want {
		t.Errorf("azimuth is %+v, want %+v", got, want)
	}
	if n := testing.AllocsPerRun(100, func() { _ = m.Axis(1) }); n != 0 {
		t.Errorf("Axis allocates %v times", n)
	}
}

func TestReadingsComeInParts(t *testing.T) {
	all := NoReadings()
	if !math.IsNaN(all.Value(DriveSupply)) {
		t.Error("a drive supply that was never read has a value")
	}
	lower := NoReadings()
	registers := make([]uint16, 0x4c-0x36)
	registers[0x40-0x36], registers[0x46-0x36], registers[0x38-0x36], registers[0x37-0x36] = 2741, 0xFFFF, 3, 77
	if err := lower.Decode(AddressLatches, registers); err != nil {
		t.Fatal(err)
	}
	all.Merge(&lower)
	upper := NoReadings()
	if err := upper.Decode(0x4c, []uint16{48, 0x8000}); err != nil {
		t.Fatal(err)
	}
	all.Merge(&upper)
	for _, row := range []struct {
		reading int
		want    float64
	}{{DriveSupply, 27.41}, {AirInside, -0.1}, {WindMean, 4.8}, {WindGust, math.NaN()}, {ForwardPower, math.NaN()},
		{-1, math.NaN()}} {
		if got := all.Value(row.reading); math.Abs(got-row.want) > 1e-9 || math.IsNaN(got) != math.IsNaN(row.want) {
			t.Errorf("%s is %v, want %v", Describe(row.reading).Name, got, row.want)
		}
	}
	if counts, entries, ok := all.Mark(0); counts != 77 || entries != 3 || !ok {
		t.Errorf("the azimuth mark is %d, %d, %v", counts, entries, ok)
	}
}

func TestRaw(t *testing.T) {
	for _, row := range []struct {
		reading int
		value   float64
		want    int16
	}{
		{DriveSupply, 27.414, 2741}, {AirOutside, -3.16, -32}, {HighVoltage, 1e9, 32767}, {AirOutside, -1e9, -32767},
		{AirOutside, math.NaN(), NotFitted}, {AirOutside, math.Inf(1), 32767}, {SequenceCopy, 1, NotFitted},
		{99, 1, NotFitted},
	} {
		if got := Raw(row.reading, row.value); got != row.want {
			t.Errorf("%v of reading %d is %d, want %d", row.value, row.reading, got, row.want)
		}
	}
}

func FuzzDecode(f *testing.F) {
	f.Add(uint16(0x36), []byte{1, 2, 3, 4})
	f.Fuzz(func(t *testing.T, address uint16, bytes []byte) {
		registers := make([]uint16, len(bytes)/2)
		for i := range registers {
			registers[i] = join16(bytes[2*i], bytes[2*i+1])
		}
		for _, b := range blocks() {
			if b.name == "readings" && len(registers) <= SequenceCopy {
				continue
			}
			if got, err := b.again(registers); err == nil {
				again, _ := b.again(got)
				for i := range got {
					if got[i] != again[i] {
						t.Fatalf("%s: register %d is %04X, then %04X", b.name, i, got[i], again[i])
					}
				}
			}
		}
		r := NoReadings()
		if r.Decode(address, registers) != nil && r != NoReadings() {
			t.Fatal("refused registers left something behind")
		}
		for i := range ReadingCount {
			if v := r.Value(i); math.IsInf(v, 0) {
				t.Fatalf("reading %d is %v", i, v)
			}
		}
	})
}

func join16(high, low byte) uint16 { return uint16(high)<<8 | uint16(low) }
