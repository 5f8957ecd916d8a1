package watching

import (
	"cmp"
	"slices"

	"beamhelm/app/message"
	"beamhelm/app/wear"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
)

// Baseline is what is usual of a reading in some circumstances, and what it was when they were met last.
type Baseline struct {
	Reading int // its number
	Words   message.Message
}

// perReading is of how many circumstances a reading's baseline is told: those met last.
const perReading = 3

// readingOf is the reading that a figure is compared for; false for what is of none.
func readingOf(c wear.Circumstances) (reading int, ok bool) {
	switch c.Kind {
	case wear.MotorCurrent:
		if c.Of == message.Capital(mount.AxisName(mount.Elevation)) {
			return enclosure.ElevationPeakCurrent, true
		}
		return enclosure.AzimuthPeakCurrent, true
	case wear.SupplySag:
		return enclosure.DriveSupply, true
	case wear.CoolantRise:
		return enclosure.CoolantOut, true
	case wear.CoolantFlow:
		return enclosure.CoolantFlow, true
	case wear.HeaterCurrent:
		return enclosure.FeedHeaterCurrent, true
	}
	return 0, false
}

// Baselines are those of the readings, newest first, whether they are within them or not. The list is not to be
// changed.
func (s *State) Baselines() []Baseline {
	if usual := &s.Past.Usual; s.baselinesAt != usual.Changed+1 {
		s.baselines, s.baselinesAt = baselinesOf(usual.Entries()), usual.Changed+1
	}
	return s.baselines
}

func baselinesOf(entries []wear.Entry) (list []Baseline) {
	slices.SortStableFunc(entries, func(a, b wear.Entry) int {
		return cmp.Or(b.Now.To.Compare(a.Now.To), cmp.Compare(a.In, b.In))
	})
	told := map[int]int{}
	for _, e := range entries {
		reading, ok := readingOf(e.Circumstances)
		if !ok || e.Now.To.IsZero() || told[reading] == perReading {
			continue
		}
		told[reading]++
		list = append(list, Baseline{reading, e.Words()})
	}
	return list
}
