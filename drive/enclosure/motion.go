package enclosure

// Motion is one snapshot of what moves. Registers 0020 to 0035.
type Motion struct {
	// State has the State bits, More the More bits.
	State, More uint16
	// Sequence last accepted.
	Sequence uint16
	// Counts of the encoders, wrapping.
	Counts [2]int32
	// Current of the motors, 10 mA, sign of the drive, mean of 50 ms; NotFitted where there is none.
	Current [2]int16
	// Applied is the drive really applied, as in Demand.
	Applied [2]int16
	// Millis since start, when the snapshot was taken; wraps.
	Millis uint32
	// Since is the time since the last count, ms; SinceUnknown for longer ago.
	Since [2]uint16
	Trips Trips
	// DetectorUV is the noise detector, microvolts, mean of 100 ms; DetectorNotFitted where there is none.
	DetectorUV   int32
	StartCounter uint16
	// Impossible transitions of the encoders, wrapping.
	Impossible [2]uint16
	// SinceKeyed is the time since the transmitter was keyed, ms; 0 while keyed, SinceUnknown for longer ago.
	SinceKeyed uint16
}

// AxisMotion is what Motion says of one axis.
type AxisMotion struct {
	Counts           int32
	Current, Applied int16
	Since            uint16
	Impossible       uint16
	Upward, Lost     bool // last count upward; counts not to be trusted
	Upper, Lower     bool // end switches open
	Fault, OnMark    bool
	BrakeSet         bool
}

// Axis returns what the snapshot says of axis i.
func (m *Motion) Axis(i int) AxisMotion {
	return AxisMotion{
		Counts: m.Counts[i], Current: m.Current[i], Applied: m.Applied[i], Since: m.Since[i],
		Impossible: m.Impossible[i],
		Upward:     m.More&(MoreAzUpward<<i) != 0, Lost: m.More&(MoreAzLost<<i) != 0,
		BrakeSet: m.More&(MoreAzBrake<<i) != 0,
		Upper:    m.State&EndUpper(i) != 0, Lower: m.State&EndLower(i) != 0,
		Fault: m.State&DriveFault(i) != 0, OnMark: m.State&OnMark(i) != 0,
	}
}

// DecodeMotion reads registers 0020 to 0035.
func DecodeMotion(registers []uint16) (m Motion, err error) {
	if len(registers) != MotionCount {
		return m, lengthError("motion block", MotionCount, len(registers))
	}
	r := registers
	return Motion{
		State: r[0], Sequence: r[1], Counts: [2]int32{int32(join(r[2], r[3])), int32(join(r[4], r[5]))},
		Current: [2]int16{int16(r[6]), int16(r[7])}, Applied: [2]int16{int16(r[8]), int16(r[9])},
		Millis: join(r[10], r[11]), Since: [2]uint16{r[12], r[13]}, Trips: Trips(r[14]), More: r[15],
		DetectorUV: int32(join(r[16], r[17])), StartCounter: r[18], Impossible: [2]uint16{r[19], r[20]},
		SinceKeyed: r[21],
	}, nil
}

// Encode writes registers 0020 to 0035.
func (m *Motion) Encode(r *[MotionCount]uint16) {
	r[0], r[1] = m.State, m.Sequence
	r[2], r[3] = split(uint32(m.Counts[0]))
	r[4], r[5] = split(uint32(m.Counts[1]))
	r[6], r[7] = uint16(m.Current[0]), uint16(m.Current[1])
	r[8], r[9] = uint16(m.Applied[0]), uint16(m.Applied[1])
	r[10], r[11] = split(m.Millis)
	r[12], r[13], r[14], r[15] = m.Since[0], m.Since[1], uint16(m.Trips), m.More
	r[16], r[17] = split(uint32(m.DetectorUV))
	r[18], r[19], r[20], r[21] = m.StartCounter, m.Impossible[0], m.Impossible[1], m.SinceKeyed
}

// Latches are what is read less often than the motion block. Registers 0036 to 003F.
type Latches struct {
	// MarkCounts of each axis at the moment the mark was last entered with
	// rising counts; MarkEntries is the number of such entries, wrapping.
	MarkCounts  [2]int32
	MarkEntries [2]uint16
	// BadFrames seen by the enclosure, wrapping.
	BadFrames uint16
	// Band and FeedTenths as they are, NotFitted where there is none.
	Band, FeedTenths int16
	Sequence         uint16
}

// DecodeLatches reads registers 0036 to 003F.
func DecodeLatches(registers []uint16) (l Latches, err error) {
	if len(registers) != LatchCount {
		return l, lengthError("latches", LatchCount, len(registers))
	}
	l.decode(registers)
	return l, nil
}

func (l *Latches) decode(r []uint16) {
	*l = Latches{
		MarkCounts:  [2]int32{int32(join(r[0], r[1])), int32(join(r[3], r[4]))},
		MarkEntries: [2]uint16{r[2], r[5]},
		BadFrames:   r[6], Band: int16(r[7]), FeedTenths: int16(r[8]), Sequence: r[9],
	}
}

// Encode writes registers 0036 to 003F.
func (l *Latches) Encode(r *[LatchCount]uint16) {
	r[0], r[1] = split(uint32(l.MarkCounts[0]))
	r[3], r[4] = split(uint32(l.MarkCounts[1]))
	r[2], r[5] = l.MarkEntries[0], l.MarkEntries[1]
	r[6], r[7], r[8], r[9] = l.BadFrames, uint16(l.Band), uint16(l.FeedTenths), l.Sequence
}
