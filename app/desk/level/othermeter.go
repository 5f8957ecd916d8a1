package level

import (
	"time"

	"beamhelm/app/settings"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/meter"
)

// readOther turns what another meter sent into levels; one that has been silent
// for some time is told as that, once a second.
func (s *State) readOther(limits *settings.Meter, in *Inputs) (levels []Measured) {
	loop := in.Loop
	hasDetector := loop.HasMotion && loop.Motion.DetectorUV != enclosure.DetectorNotFitted
	for _, sample := range in.Other {
		s.came = in.Now
		one := Measured{Now: in.Now - sample.Age, LevelDB: sample.LevelDB}
		switch {
		case sample.Flaw == meter.Nonsense:
			one.Flaw = Nonsense
		case sample.Flaw == meter.Regulated:
			one.Flaw = Regulated
		case sample.Flaw == meter.Overloaded:
			one.Flaw = Overloaded
		case keyedWithin(limits, loop, sample.Age):
			one.Flaw = Keyed
		case hasDetector && loop.Motion.More&enclosure.MoreClean == 0:
			one.Flaw = NotClean // the sequencer's word, which comes with the detector
		}
		s.complete(&one, in)
		levels = append(levels, one)
	}
	if len(in.Other) == 0 && in.Now-s.came >= SilentAfter {
		s.came = in.Now - SilentAfter + time.Second
		one := Measured{Now: in.Now, Flaw: Silent}
		s.complete(&one, in)
		levels = append(levels, one)
	}
	return levels
}
