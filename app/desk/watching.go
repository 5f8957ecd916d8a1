package desk

import (
	"math"
	"strings"
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/station"
	"beamhelm/app/wear"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// watchState is what the desk carries to compare the dish with its own past.
type watchState struct {
	Usual   wear.Watch
	At      step.Nanos // of the newest sample
	Minute  step.Nanos // since when link errors are counted
	Errors  uint64     // of the line at Minute, without those while keyed
	Driving [2]driving
	Still   step.Nanos // since when no axis is driven
	RestV   float64    // drive supply at rest, at RestAt
	RestAt  step.Nanos
	OnIt    step.Nanos // since when the target is followed
	Keyed   step.Nanos // since when the transmitter is keyed
	Cable   cable
}

// driving is an axis that is driven steadily.
type driving struct {
	Applied float64
	Since   step.Nanos // 0: it isn't
}

// The times after which a figure means what it says.
const (
	watchEvery  = 200 * time.Millisecond
	steadyAfter = 2 * time.Second
	restAfter   = 3 * time.Second
	restHolds   = 2 * time.Minute
	onItAfter   = 30 * time.Second
	warmAfter   = time.Minute
	leastDrive  = 0.1
)

// watch takes what the dish does now into what is usual.
func (t *turn) watch() {
	w, loop := &t.s.Watch, t.in.Loop
	if loop.Link.State != step.LinkGood || !loop.HasMotion {
		w.Driving, w.Still, w.OnIt, w.Keyed, w.Minute = [2]driving{}, 0, 0, 0, 0
		return
	}
	w.Cable.count(t)
	if t.in.Now-w.At < watchEvery {
		return
	}
	second := t.in.Now/time.Second != w.At/time.Second
	w.At = t.in.Now
	for axis := range w.Driving {
		t.watchAxis(axis)
	}
	t.watchSupply()
	if second {
		t.watchTracking()
		t.watchTransmitting()
		if a := loop.Readings.Value(enclosure.FeedHeaterCurrent); a > 0.05 {
			w.Usual.Sample(wear.Circumstances{Kind: wear.HeaterCurrent, In: t.weather()}, a, t.in.At)
		}
	}
	if t.in.Now-w.Minute >= time.Minute {
		quiet := t.in.Line.Errors - t.in.Line.Keyed
		if w.Minute > 0 && quiet >= w.Errors {
			w.Usual.Sample(wear.Circumstances{Kind: wear.LinkErrors, In: "not transmitting"}, float64(quiet-w.Errors), t.in.At)
		}
		w.Minute, w.Errors = t.in.Now, quiet
	}
}

// weather is the class of the air outside, in words; empty where it isn't known.
func (t *turn) weather() string {
	return wear.ClassWords(wear.Class(t.in.Loop.Readings.Value(enclosure.AirOutside), 10), 10, "°C")
}

// joined are the words that are there, with commas.
func joined(words ...string) string {
	kept := words[:0:0]
	for _, w := range words {
		if w != "" {
			kept = append(kept, w)
		}
	}
	return strings.Join(kept, ", ")
}

// circumstances of an axis that is driven so.
func (t *turn) circumstances(kind, axis int, applied float64) wear.Circumstances {
	ways := [2][2]string{{"clockwise", "counter-clockwise"}, {"up", "down"}}[axis]
	way := ways[0]
	if applied < 0 {
		way = ways[1]
	}
	speed := "slow"
	switch size := math.Abs(applied); {
	case size > 0.75:
		speed = "fast"
	case size > 0.35:
		speed = "at half speed"
	}
	where := ""
	if axis == mount.Elevation { // imbalance changes with elevation, hardly anything with azimuth
		where = wear.ClassWords(wear.Class(t.in.Loop.Axes[axis].Is.Deg(), 20), 20, "°")
	}
	return wear.Circumstances{Kind: kind, Of: capital(mount.AxisName(axis)), In: joined(speed+" "+way, where, t.weather())}
}

// watchAxis takes in what a motor takes and what comes of it.
func (t *turn) watchAxis(axis int) {
	d, a := &t.s.Watch.Driving[axis], &t.in.Loop.Axes[axis]
	if !a.Fitted || math.Abs(a.Applied) < leastDrive || t.in.Loop.Mode == step.LockedOut {
		*d = driving{}
		return
	}
	if d.Since == 0 || math.Abs(a.Applied-d.Applied) > 0.03 {
		*d = driving{a.Applied, t.in.Now}
		return
	}
	if t.in.Now-d.Since < steadyAfter {
		return
	}
	usual := &t.s.Watch.Usual
	take := func(kind int, value float64) {
		at := t.circumstances(kind, axis, a.Applied)
		if run := t.s.Check.Run; run != nil {
			run.take(at, value, usual.Past(at))
		}
		usual.Sample(at, value, t.in.At)
	}
	if !math.IsNaN(a.CurrentA) {
		take(wear.MotorCurrent, math.Abs(a.CurrentA))
	}
	if math.Abs(a.Applied) > 0.75 {
		take(wear.SpeedPerDrive, math.Abs(a.Rate)*180/math.Pi/math.Abs(a.Applied))
	}
}

// watchSupply takes in by how much the drive supply sags under load.
func (t *turn) watchSupply() {
	w, loop := &t.s.Watch, t.in.Loop
	supply := loop.Readings.Value(enclosure.DriveSupply)
	load, steady := 0.0, true
	for i := range loop.Axes {
		if a := &loop.Axes[i]; a.Fitted && a.Applied != 0 {
			load += math.Abs(a.CurrentA)
			steady = steady && w.Driving[i].Since > 0 && t.in.Now-w.Driving[i].Since >= steadyAfter
			w.Still = 0
		}
	}
	switch {
	case math.IsNaN(supply) || math.IsNaN(load):
	case load == 0 && w.Still == 0:
		w.Still = t.in.Now
	case load == 0 && t.in.Now-w.Still >= restAfter:
		w.RestV, w.RestAt = supply, t.in.Now
	case load > 0 && steady && w.RestAt > 0 && t.in.Now-w.RestAt < restHolds:
		w.Usual.Sample(wear.Circumstances{Kind: wear.SupplySag, In: "under " + wear.ClassWords(wear.Class(load, 2), 2, "A")}, w.RestV-supply, t.in.At)
	}
}

// watchTracking takes in how far off the beam is while it follows.
func (t *turn) watchTracking() {
	w, loop := &t.s.Watch, t.in.Loop
	if loop.Mode != step.Following || t.s.Peak.Run != nil || t.s.Receiver.Run != nil || t.s.Excursion != (excursion{}) {
		w.OnIt = 0
		return
	}
	if w.OnIt == 0 || t.in.Now-t.s.NudgeAt < onItAfter {
		w.OnIt = t.in.Now
	}
	if t.in.Now-w.OnIt >= onItAfter {
		is := mount.Direction{Az: loop.Axes[mount.Azimuth].Is, El: loop.Axes[mount.Elevation].Is}
		wind := wear.ClassWords(wear.Class(loop.Readings.Value(enclosure.WindMean), 4), 4, "m/s of wind")
		w.Usual.Sample(wear.Circumstances{Kind: wear.FollowingError, In: wind}, station.Apart(wanted(loop), is).Deg(), t.in.At)
	}
}

// watchTransmitting takes in what the coolant does while the amplifier gives power.
func (t *turn) watchTransmitting() {
	w, r := &t.s.Watch, &t.in.Loop.Readings
	if !t.in.Loop.Permit.Keyed {
		w.Keyed = 0
		return
	}
	if w.Keyed == 0 {
		w.Keyed = t.in.Now
	}
	if flow := r.Value(enclosure.CoolantFlow); t.in.Now-w.Keyed > steadyAfter {
		w.Usual.Sample(wear.Circumstances{Kind: wear.CoolantFlow}, flow, t.in.At)
	}
	if forward := r.Value(enclosure.ForwardPower); forward > 20 && t.in.Now-w.Keyed > warmAfter {
		w.Usual.Sample(wear.Circumstances{Kind: wear.CoolantRise, In: "at " + wear.ClassWords(wear.Class(forward, 200), 200, "W")},
			r.Value(enclosure.CoolantOut)-r.Value(enclosure.CoolantIn), t.in.At)
	}
}

// coldTaken takes a level of cold sky in.
func (t *turn) coldTaken(c ColdSky) {
	t.s.Watch.Usual.Sample(t.coldAt(c), c.LevelDB, t.in.At)
}

func (t *turn) coldAt(c ColdSky) wear.Circumstances {
	return wear.Circumstances{Kind: wear.ColdSky, Of: c.Band + " " + c.Feed, In: "elevation " + wear.ClassWords(wear.Class(c.El.Deg(), 15), 15, "°")}
}

// slowTroubles are what is out of what is usual, as warnings.
func (t *turn) slowTroubles() (standing []alarm.Condition) {
	for _, trouble := range t.s.Watch.Usual.Troubles() {
		standing = append(standing, alarm.Condition{
			Key: trouble.Key(), Grade: alarm.Warning, Words: capital(trouble.Words()) + ", since " + trouble.Since.UTC().Format("15:04 on 2 Jan"),
			Next: wear.Kinds[trouble.Kind].Next + " If this is normal now, say so under Health, Station check.",
		})
	}
	return append(standing, t.s.Watch.Cable.troubles()...)
}

// nowUsual forgets what is usual of the things in words, "kind of", as Check shows them.
func (t *turn) nowUsual(words string) {
	for _, trouble := range t.s.Watch.Usual.Troubles() {
		if words == trouble.Key() {
			t.s.Watch.Usual.Forget(trouble.Kind, trouble.Of)
			t.say(Notice, "Baseline learned again: %s", joined(trouble.Of, wear.Kinds[trouble.Kind].Words))
		}
	}
}
