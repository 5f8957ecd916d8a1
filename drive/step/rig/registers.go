package rig

import (
	"math"
	"time"

	"beamhelm/drive/enclosure"
)

// Identity is what the enclosure says of itself.
func (b *FakeEnclosure) Identity() enclosure.Identity {
	version := uint16(1)
	if b.WrongMap {
		version = 2
	}
	fitted := enclosure.FittedAzimuth | enclosure.FittedElevation | enclosure.FittedWarning | enclosure.FittedMarkLatch
	if b.WindFitted {
		fitted |= enclosure.FittedWind
	}
	return enclosure.Identity{
		MapVersion: version, StartCounter: b.Start,
		Fitted: fitted,
	}
}

func (b *FakeEnclosure) motion() enclosure.Motion {
	var m enclosure.Motion
	set := func(word *uint16, bit int, on bool) {
		if on {
			*word |= 1 << bit
		}
	}
	set(&m.State, 0, b.Powered)
	set(&m.State, 2, b.HandPanel)
	set(&m.State, 3, b.StopOpen)
	set(&m.State, 8, b.DriveFault)
	set(&m.State, 10, b.Keyed)
	set(&m.State, 11, b.Door)
	set(&m.More, 6, b.Permitted)
	for i := range b.Axes {
		a := &b.Axes[i]
		low, high := b.ends(i)
		set(&m.State, 4+2*i, high)
		set(&m.State, 5+2*i, low)
		set(&m.More, i, a.Upward)
		set(&m.More, 2+i, b.EncoderFault[i])
		m.Counts[i] = b.Counts(i)
		m.Applied[i] = int16(math.Round(a.Applied * 10000))
		m.Since[i] = uint16(min(65535, (a.Now-a.LastCount)*1000))
		current := b.CurrentA[i]
		if math.IsNaN(current) {
			current = 0
			if a.Applied != 0 {
				current = math.Copysign(0.8+2*math.Abs(a.Applied), a.Applied)
			}
			if a.Locked {
				current = 14 * a.Applied
			}
		}
		m.Current[i] = int16(math.Round(current * 100))
		if b.CurrentLost[i] {
			m.Current[i] = enclosure.NotFitted
		}
	}
	m.Impossible = b.Impossible
	m.Millis = uint32(b.millis / time.Millisecond)
	m.Trips = b.Trips
	m.StartCounter = b.Start
	return m
}
