package watching

import (
	"slices"
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/message"
	"beamhelm/drive/step"
)

// CableCount is what the line and the encoders have lost on a band, apart while
// transmitting and while not.
type CableCount struct {
	Band string `json:"band"`
	// KeyedS and QuietS are the seconds counted, and of them the errors of the
	// link and the impossible transitions of both encoders.
	KeyedS          float64 `json:"keyed_s"`
	QuietS          float64 `json:"quiet_s"`
	KeyedErrors     uint64  `json:"keyed_errors"`
	QuietErrors     uint64  `json:"quiet_errors"`
	KeyedImpossible uint64  `json:"keyed_impossible"`
	QuietImpossible uint64  `json:"quiet_impossible"`
}

// cable counts what the cable suffers, per band.
type cable struct {
	Counts     []CableCount // never changed once published
	at         step.Nanos
	line       [2]uint64 // errors quiet and keyed
	impossible uint64
}

// The shape of comparing.
const (
	countEvery = 5 * time.Second
	// What is halved when it has grown over this stays a matter of the last evenings.
	maxCounted   = 6 * 3600 // seconds
	minKeyedS    = 60
	minQuietS    = 300
	minErrors    = 10
	timesWorse   = 10
	fewerCounted = 2
)

// count takes in what was lost since it was last asked.
func (c *cable) count(w *work) {
	since := w.in.Now - c.at
	if since < countEvery {
		return
	}
	line := [2]uint64{w.in.Around.Line.Errors - w.in.Around.Line.Keyed, w.in.Around.Line.Keyed}
	impossible := uint64(0)
	for i := range w.in.Loop.Axes {
		impossible += uint64(w.in.Loop.Motion.Impossible[i])
	}
	before := *c
	c.at, c.line, c.impossible = w.in.Now, line, impossible
	if before.at == 0 || since > 3*countEvery || line[0] < before.line[0] || line[1] < before.line[1] ||
		impossible < before.impossible {
		return
	}
	band := w.in.Band
	c.Counts = slices.Clone(c.Counts)
	at := slices.IndexFunc(c.Counts, func(k CableCount) bool { return k.Band == band })
	if at < 0 {
		at = len(c.Counts)
		c.Counts = append(c.Counts, CableCount{Band: band})
	}
	k := &c.Counts[at]
	quiet, keyed, lost := line[0]-before.line[0], line[1]-before.line[1], impossible-before.impossible
	k.QuietErrors += quiet
	k.KeyedErrors += keyed
	if w.in.Loop.Permit.Keyed {
		k.KeyedS += since.Seconds()
		k.KeyedImpossible += lost
	} else {
		k.QuietS += since.Seconds()
		k.QuietImpossible += lost
	}
	k.fade()
}

// fade lets what was long ago count less.
func (k *CableCount) fade() {
	if k.KeyedS > maxCounted {
		k.KeyedS /= fewerCounted
		k.KeyedErrors /= fewerCounted
		k.KeyedImpossible /= fewerCounted
	}
	if k.QuietS > maxCounted {
		k.QuietS /= fewerCounted
		k.QuietErrors /= fewerCounted
		k.QuietImpossible /= fewerCounted
	}
}

// worse is how many times as often something is lost while transmitting; ok is
// false where that can't be said yet, or isn't ten times.
func (k CableCount) worse(keyed, quiet uint64) (times float64, ok bool) {
	if k.KeyedS < minKeyedS || k.QuietS < minQuietS || keyed < minErrors {
		return 0, false
	}
	// One more than was lost in quiet: none in a short time does not mean none at all.
	times = float64(keyed) / k.KeyedS / (float64(quiet+1) / k.QuietS)
	return times, times >= timesWorse
}

// troubles are the bands on which transmitting gets into the cable.
func (c *cable) troubles() (standing []alarm.Condition) {
	for _, k := range c.Counts {
		for _, what := range []struct {
			key          string
			code         message.Code
			keyed, quiet uint64
		}{
			{"link", "cable.link", k.KeyedErrors, k.QuietErrors},
			{"encoder", "cable.encoder", k.KeyedImpossible, k.QuietImpossible},
		} {
			if times, worse := k.worse(what.keyed, what.quiet); worse {
				standing = append(standing, alarm.Condition{
					Key: "slow cable " + what.key + " " + k.Band, Grade: alarm.Warning, Event: true,
					Words: message.Of(
						what.code,
						k.Band,
						60*float64(what.keyed)/k.KeyedS,
						60*float64(what.quiet)/k.QuietS,
					),
					Next: message.Of("cable.next", times),
				})
			}
		}
	}
	return standing
}
