package desk

import (
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/meter"
	"beamhelm/drive/step"
)

// OtherMeter is a noise meter that isn't the enclosure's.
type OtherMeter interface {
	// Take hands over what came since it was last asked, oldest first.
	Take() []meter.Sample
	// Trouble says why nothing comes; empty where something does.
	Trouble() string
}

// readOther turns what another meter sent into levels; one that has been silent
// for some time is told as that, once a second.
func (m *meterState) readOther(
	c *Config,
	came []meter.Sample,
	loop *step.Status,
	sky time.Time,
	now step.Nanos,
) (levels []Measured) {
	for _, s := range came {
		m.came = now
		one := Measured{Now: now - s.Age, LevelDB: s.LevelDB}
		switch {
		case s.Flaw == meter.Nonsense:
			one.Flaw = Nonsense
		case s.Flaw == meter.Regulated:
			one.Flaw = Regulated
		case s.Flaw == meter.Overloaded:
			one.Flaw = Overloaded
		case keyedWithin(&c.Settings.Meter, loop, s.Age):
			one.Flaw = Keyed
		case loop.HasMotion && loop.Motion.DetectorUV != enclosure.DetectorNotFitted && loop.Motion.More&enclosure.MoreClean == 0:
			one.Flaw = NotClean // the sequencer's word, which comes with the detector
		}
		m.complete(&one, loop, sky, now)
		levels = append(levels, one)
	}
	if len(came) == 0 && now-m.came >= silentAfter {
		m.came = now - silentAfter + time.Second
		one := Measured{Now: now, Flaw: Silent}
		m.complete(&one, loop, sky, now)
		levels = append(levels, one)
	}
	return levels
}
