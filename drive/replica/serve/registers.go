package serve

import (
	"math"
	"time"

	"beamhelm/drive/enclosure"
)

// Identity is what the enclosure says of itself.
func (e *Enclosure) Identity() enclosure.Identity {
	d := enclosure.Identity{
		MapVersion: enclosure.MapVersion, Fitted: e.config.Fitted,
		UptimeSeconds: uint32((e.now - e.started) / time.Second),
		StartCounter:  e.starts, Firmware: e.config.Firmware, Highest: enclosure.RegisterCount - 1,
	}
	for i := range d.FixedSpeeds {
		if !e.config.Fitted.Axis(i) {
			continue
		}
		d.FixedSpeeds[i] = e.config.FixedSpeeds[i]
		d.RampMillis[i] = uint16(e.config.Ramp[i].Milliseconds())
		if d.Absolute(i) {
			d.CountsPerTurn[i] = e.config.CountsPerTurn[i]
		}
	}
	return d
}

// Demand is what was last written, with the sequence last accepted.
func (e *Enclosure) Demand() enclosure.Demand {
	return enclosure.Demand{
		Sequence: e.written[placeSequence], Orders: e.orders(), Az: int16(e.written[placeAz]),
		El: int16(e.written[placeEl]), WatchdogMillis: e.written[placeWatchdog],
	}
}

// Motion is the snapshot now.
func (e *Enclosure) Motion() enclosure.Motion {
	m := enclosure.Motion{
		State: e.state(), More: e.more(), Sequence: e.written[placeSequence],
		Millis: uint32((e.now - e.started - e.stood).Milliseconds()), Trips: e.trips,
		DetectorUV: enclosure.DetectorNotFitted, StartCounter: e.starts, SinceKeyed: e.millisSince(e.keyed),
	}
	if uv := e.detector.mean(); e.config.Fitted.Has(enclosure.FittedDetector) && !math.IsNaN(uv) {
		m.DetectorUV = int32(math.Round(max(-math.MaxInt32, min(math.MaxInt32, uv))))
	}
	for i := range e.axes {
		m.Current[i] = enclosure.NotFitted
		if !e.config.Fitted.Axis(i) {
			continue
		}
		a, s := &e.axes[i], &e.seen.Axes[i]
		m.Counts[i] = s.Counts - a.base
		if current := a.current.mean(); !math.IsNaN(current) {
			m.Current[i] = register(current / 0.01)
		}
		m.Applied[i] = register(e.applied[i] * enclosure.FullDrive)
		m.Since[i] = enclosure.SinceUnknown
		if s.SinceCount >= 0 && s.SinceCount <= e.now-e.started {
			m.Since[i] = e.millisSince(e.now - s.SinceCount)
		}
		m.Impossible[i] = s.Impossible - a.impossible
	}
	return m
}

func (e *Enclosure) millisSince(at time.Duration) uint16 {
	return uint16(min((e.now - at).Milliseconds(), enclosure.SinceUnknown))
}

// register rounds to what a signed register holds.
func register(v float64) int16 {
	return int16(math.Round(max(-math.MaxInt16, min(math.MaxInt16, v))))
}

func (e *Enclosure) state() (bits uint16) {
	put := func(bit uint16, on bool) {
		if on {
			bits |= bit
		}
	}
	put(enclosure.StatePower, e.power == powerOn)
	put(enclosure.StateHand, e.seen.HandPanel)
	put(enclosure.StateStopOpen, e.seen.StopOpen)
	put(enclosure.StateKeyed, e.seen.Keyed)
	put(enclosure.StateDoor, e.seen.DoorOpen)
	for i := range e.seen.Axes {
		if s := &e.seen.Axes[i]; e.config.Fitted.Axis(i) {
			put(enclosure.EndUpper(i), s.EndHigh)
			put(enclosure.EndLower(i), s.EndLow)
			put(enclosure.DriveFault(i), s.DriveFault)
			put(enclosure.OnMark(i), s.OnMark)
		}
	}
	return bits
}

func (e *Enclosure) more() (bits uint16) {
	put := func(bit uint16, on bool) {
		if on {
			bits |= bit
		}
	}
	put(enclosure.MorePermitted, e.permit)
	put(enclosure.MoreClean, !e.seen.Keyed && e.now-e.changed >= cleanAfter)
	put(enclosure.MoreComingOn, e.power == powerComingOn)
	for i := range e.seen.Axes {
		if e.config.Fitted.Axis(i) {
			put(enclosure.MoreAzUpward<<i, e.seen.Axes[i].Upward)
			put(enclosure.MoreAzLost<<i, e.lost[i])
			put(enclosure.MoreAzBrake<<i, e.braked(i))
		}
	}
	return bits
}

// Latches are registers 0036 to 003F.
func (e *Enclosure) Latches(badFrames uint16) enclosure.Latches {
	l := enclosure.Latches{BadFrames: badFrames, Band: enclosure.NotFitted, FeedTenths: enclosure.NotFitted,
		Sequence: e.written[placeSequence]}
	if e.config.Fitted.Has(enclosure.FittedMarkLatch) {
		for i := range e.axes {
			if e.config.Fitted.Axis(i) {
				l.MarkCounts[i], l.MarkEntries[i] = e.axes[i].markCounts, e.axes[i].markEntries
			}
		}
	}
	if e.config.Fitted.Has(enclosure.FittedBandSwitch) && e.seen.Band >= 0 {
		l.Band = int16(e.seen.Band)
	}
	if turn := e.seen.FeedTurnDegrees; e.config.Fitted.Has(enclosure.FittedFeedTurner) && !math.IsNaN(turn) {
		l.FeedTenths = register(turn * 10)
	}
	return l
}

// Readings are registers 0040 to 005F.
func (e *Enclosure) Readings() enclosure.Readings {
	r := enclosure.NoReadings()
	for i := range r.Raw {
		r.Raw[i] = enclosure.Raw(i, e.seen.Readings[i])
	}
	for i, place := range [...]int{enclosure.AzimuthPeakCurrent, enclosure.ElevationPeakCurrent} {
		peak := math.NaN()
		if e.config.Fitted.Axis(i) {
			peak = 0
			for _, v := range e.axes[i].peaks {
				peak = max(peak, v)
			}
		}
		r.Raw[place] = enclosure.Raw(place, peak)
	}
	if !e.config.Fitted.Has(enclosure.FittedWind) {
		r.Raw[enclosure.WindMean], r.Raw[enclosure.WindGust], r.Raw[enclosure.WindDirection] = enclosure.NotFitted,
			enclosure.NotFitted, enclosure.NotFitted
	}
	return r
}

// registers is the whole map now.
func (e *Enclosure) registers(badFrames uint16) (all [enclosure.RegisterCount]uint16) {
	var identity [enclosure.IdentityCount]uint16
	e.Identity().Encode(&identity)
	copy(all[enclosure.AddressIdentity:], identity[:])
	copy(all[enclosure.AddressDemand:], e.written[:])
	var motion [enclosure.MotionCount]uint16
	m := e.Motion()
	m.Encode(&motion)
	copy(all[enclosure.AddressMotion:], motion[:])
	var latches [enclosure.LatchCount]uint16
	l := e.Latches(badFrames)
	l.Encode(&latches)
	copy(all[enclosure.AddressLatches:], latches[:])
	var readings [enclosure.ReadingCount]uint16
	r := e.Readings()
	r.Encode(e.written[placeSequence], &readings)
	copy(all[enclosure.AddressReadings:], readings[:])
	return all
}
