package measuring

import (
	"math"
	"slices"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/level"
	"beamhelm/app/desk/station"
	"beamhelm/app/desk/watching"
	"beamhelm/app/message"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
)

// Noise is the receiver's noise now.
type Noise struct {
	Fitted bool
	// Clean says that a level of use came within the last second; Flaw is what is wrong with the newest.
	Clean bool
	Flaw  level.Flaw
	// LevelDB is the detector's level, dB to an arbitrary zero.
	LevelDB float64
	// ColdDB is the cold sky's level; meaningless unless HasCold.
	ColdDB  float64
	HasCold bool
	ColdAt  time.Time
	ColdEl  unit.Angle // elevation at which it was taken
	// AverageS is over how many seconds the level is averaged.
	AverageS float64
}

// ColdSky is a level of cold sky: of the band and feed with whose meter it was
// measured, at an elevation, for the ground's and the air's part depend on it.
type ColdSky struct {
	Band    string     `json:"band"`
	Feed    string     `json:"feed"`
	El      unit.Angle `json:"elevation_rad"`
	LevelDB float64    `json:"level_db"`
	At      time.Time  `json:"at"`
}

const (
	// coldNear is within what elevation a level of cold sky takes the place of an older one.
	coldNear = 5 // degrees
	// maxCold is how many are kept, the newest.
	maxCold = 60
	// maxAverageMS is the longest averaging time.
	maxAverageMS = 30000
)

// takeCold takes up what was kept; what can't be a level is left out.
func (s *State) takeCold(kept []ColdSky) {
	s.Cold = slices.DeleteFunc(slices.Clone(kept), func(c ColdSky) bool {
		return !(math.Abs(c.LevelDB) <= 1000) || !(math.Abs(c.El.Deg()) <= 90) || c.At.IsZero()
	})
}

// cold is the level of cold sky of the band and feed in use, nearest in
// elevation to where the beam looks.
func (w *work) cold(el unit.Angle) (nearest ColdSky, ok bool) {
	band, feed := w.c.Names(w.in.Band, w.in.Feed)
	best := math.Inf(1)
	for _, k := range w.s.Cold {
		if off := math.Abs((k.El - el).Deg()); k.Band == band && k.Feed == feed && off < best {
			nearest, best, ok = k, off, true
		}
	}
	return nearest, ok
}

// noise is the receiver's noise now.
func (w *work) noise() Noise {
	s, loop := w.s, w.in.Loop
	n := Noise{
		Fitted:  w.in.OtherMeter || loop.HasMotion && loop.Motion.DetectorUV != enclosure.DetectorNotFitted,
		LevelDB: w.in.NoiseDB, Flaw: s.Peak.Flaw, AverageS: s.AverageS(w.c),
	}
	if cold, ok := w.cold(loop.Axes[mount.Elevation].Position); ok {
		n.ColdDB, n.HasCold, n.ColdAt, n.ColdEl = cold.LevelDB, true, cold.At, cold.El
	}
	n.Clean = s.Peak.Flaw == level.Sound && w.heard()
	return n
}

// AverageS is over how many seconds the level is averaged.
func (s *State) AverageS(c *station.Config) float64 {
	if s.AverageMS > 0 {
		return float64(s.AverageMS) / 1000
	}
	return c.Settings.Meter.AverageS
}

// heard reports that a level of use came lately: the running mean stays where it
// was when nothing comes, and is the level now only for a while. Another meter may be slow.
func (w *work) heard() bool {
	lately := time.Second
	if w.in.OtherMeter {
		lately = level.SilentAfter
	}
	return w.s.Peak.SoundAt > 0 && w.in.Now-w.s.Peak.SoundAt <= lately
}

// coldSky takes the level now as that of cold sky at this elevation.
func (w *work) coldSky() {
	s := w.s
	n := w.noise()
	if why := w.in.Arriving; why.Code != "" {
		w.say(alarm.Warning, "coldsky.refused", why)
		return
	}
	if !n.Clean || math.IsNaN(n.LevelDB) {
		why := message.Of("coldsky.no-level")
		if n.Flaw != level.Sound {
			why = n.Flaw.Message()
		}
		w.say(alarm.Warning, "coldsky.refused", why)
		return
	}
	band, feed := w.c.Names(w.in.Band, w.in.Feed)
	taken := ColdSky{
		Band:    band,
		Feed:    feed,
		El:      w.in.Loop.Axes[mount.Elevation].Position,
		LevelDB: n.LevelDB,
		At:      w.in.At,
	}
	// The list in the status of an earlier step must not change: a new one is made.
	cold := slices.DeleteFunc(slices.Clone(s.Cold), func(c ColdSky) bool {
		return c.Band == band && c.Feed == feed && math.Abs((c.El-taken.El).Deg()) < coldNear
	})
	if len(cold) >= maxCold {
		cold = slices.Delete(cold, 0, 1)
	}
	s.Cold = append(cold, taken)
	w.ask(NoteCold{watching.Cold{Band: band, Feed: feed, El: taken.El, LevelDB: taken.LevelDB}})
	w.say(alarm.Normal, "coldsky.set", taken.El)
}
