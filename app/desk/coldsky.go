package desk

import (
	"maps"
	"math"
	"time"

	"beamhelm/drive/enclosure"
)

// noise is the receiver's noise now.
func (t *turn) noise() Noise {
	s, loop := t.s, t.in.Loop
	cold := s.Cold[coldKey{s.Band, s.Feed}]
	n := Noise{
		Fitted: t.in.OtherMeter || loop.HasMotion && loop.Motion.DetectorUV != enclosure.DetectorNotFitted, LevelDB: t.in.NoiseDB,
		ColdDB: cold.LevelDB, HasCold: cold.Has, ColdAt: cold.At, Flaw: s.Peak.Flaw,
	}
	n.Clean = s.Peak.Flaw == Sound && t.heard()
	return n
}

// heard reports that a level of use came lately: the running mean stays where it
// was when nothing comes, and is the level now only for a while. Another meter may be slow.
func (t *turn) heard() bool {
	lately := time.Second
	if t.in.OtherMeter {
		lately = silentAfter
	}
	return t.s.Peak.SoundAt > 0 && t.in.Now-t.s.Peak.SoundAt <= lately
}

// coldSky takes the level now as that of cold sky.
func (t *turn) coldSky() {
	s := t.s
	n := t.noise()
	if !n.Clean || math.IsNaN(n.LevelDB) {
		why := "no level of use comes"
		if n.Flaw != Sound {
			why = n.Flaw.String()
		}
		t.say(Warning, "Cold sky not taken: %s", why)
		return
	}
	cold := maps.Clone(s.Cold)
	if cold == nil {
		cold = map[coldKey]coldSky{}
	}
	cold[coldKey{s.Band, s.Feed}] = coldSky{Has: true, LevelDB: n.LevelDB, At: t.in.At}
	s.Cold = cold
	t.say(Normal, "Cold sky taken")
}
