package watching

import (
	"math"
	"strings"
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/message"
	"beamhelm/app/wear"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// past is what the desk carries to compare the dish with its own past.
type past struct {
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

// Unusual is something, by the key that SetBaseline takes, that has long been out of what is usual.
type Unusual struct {
	Key   string
	Words message.Message
}

// seen is what a figure was in some circumstances, with what was usual before.
type seen struct {
	wear.Circumstances
	sum   float64
	n     int
	usual wear.Past
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
	minDrive    = 0.1
)

// compare takes what the dish does now into what is usual.
func (w *work) compare() {
	p, loop := &w.s.Past, w.in.Loop
	if loop.Link.State != step.LinkGood || !loop.HasMotion {
		p.Driving, p.Still, p.OnIt, p.Keyed, p.Minute = [2]driving{}, 0, 0, 0, 0
		return
	}
	p.Cable.count(w)
	if w.in.FastTime || w.in.Now-p.At < watchEvery {
		return
	}
	second := w.in.Now/time.Second != p.At/time.Second
	p.At = w.in.Now
	for axis := range p.Driving {
		w.watchAxis(axis)
	}
	w.watchSupply()
	if second {
		w.watchTracking()
		w.watchTransmitting()
		if a := loop.Readings.Value(enclosure.FeedHeaterCurrent); a > 0.05 {
			p.Usual.Sample(wear.Circumstances{Kind: wear.HeaterCurrent, In: w.weather()}, a, w.in.At)
		}
	}
	if w.in.Now-p.Minute >= time.Minute {
		quiet := w.in.Around.Line.Errors - w.in.Around.Line.Keyed
		if p.Minute > 0 && quiet >= p.Errors {
			p.Usual.Sample(
				wear.Circumstances{Kind: wear.LinkErrors, In: "not transmitting"},
				float64(quiet-p.Errors),
				w.in.At,
			)
		}
		p.Minute, p.Errors = w.in.Now, quiet
	}
}

// weather is the class of the air outside, in words; empty where it isn't known.
func (w *work) weather() string {
	return wear.ClassWords(wear.Class(w.in.Loop.Readings.Value(enclosure.AirOutside), 10), 10, "°C")
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
func (w *work) circumstances(kind, axis int, applied float64) wear.Circumstances {
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
		where = wear.ClassWords(wear.Class(w.in.Loop.Axes[axis].Position.Deg(), 20), 20, "°")
	}
	return wear.Circumstances{
		Kind: kind,
		Of:   message.Capital(mount.AxisName(axis)),
		In:   joined(speed+" "+way, where, w.weather()),
	}
}

// watchAxis takes in what a motor takes and what comes of it.
func (w *work) watchAxis(axis int) {
	d, a := &w.s.Past.Driving[axis], &w.in.Loop.Axes[axis]
	if !a.Fitted || math.Abs(a.Applied) < minDrive || w.in.Loop.Mode == step.LockedOut {
		*d = driving{}
		return
	}
	if d.Since == 0 || math.Abs(a.Applied-d.Applied) > 0.03 {
		*d = driving{a.Applied, w.in.Now}
		return
	}
	if w.in.Now-d.Since < steadyAfter {
		return
	}
	usual := &w.s.Past.Usual
	take := func(kind int, value float64) {
		at := w.circumstances(kind, axis, a.Applied)
		if w.in.Checking {
			w.s.take(at, value, usual.Past(at))
		}
		usual.Sample(at, value, w.in.At)
	}
	if !math.IsNaN(a.CurrentA) {
		take(wear.MotorCurrent, math.Abs(a.CurrentA))
	}
	if math.Abs(a.Applied) > 0.75 {
		take(wear.SpeedPerDrive, math.Abs(a.Rate)*180/math.Pi/math.Abs(a.Applied))
	}
}

// watchSupply takes in by how much the drive supply sags under load.
func (w *work) watchSupply() {
	p, loop := &w.s.Past, w.in.Loop
	supply := loop.Readings.Value(enclosure.DriveSupply)
	load, steady := 0.0, true
	for i := range loop.Axes {
		if a := &loop.Axes[i]; a.Fitted && a.Applied != 0 {
			load += math.Abs(a.CurrentA)
			steady = steady && p.Driving[i].Since > 0 && w.in.Now-p.Driving[i].Since >= steadyAfter
			p.Still = 0
		}
	}
	switch {
	case math.IsNaN(supply) || math.IsNaN(load):
	case load == 0 && p.Still == 0:
		p.Still = w.in.Now
	case load == 0 && w.in.Now-p.Still >= restAfter:
		p.RestV, p.RestAt = supply, w.in.Now
	case load > 0 && steady && p.RestAt > 0 && w.in.Now-p.RestAt < restHolds:
		p.Usual.Sample(
			wear.Circumstances{Kind: wear.SupplySag, In: "under " + wear.ClassWords(wear.Class(load, 2), 2, "A")},
			p.RestV-supply,
			w.in.At,
		)
	}
}

// watchTracking takes in how far off the beam is while it follows.
func (w *work) watchTracking() {
	p, loop := &w.s.Past, w.in.Loop
	if loop.Mode != step.Following || w.in.Disturbed {
		p.OnIt = 0
		return
	}
	if p.OnIt == 0 || w.in.Now-w.in.PressedAt < onItAfter {
		p.OnIt = w.in.Now
	}
	if w.in.Now-p.OnIt >= onItAfter {
		is := mount.AxisAngles{Az: loop.Axes[mount.Azimuth].Position, El: loop.Axes[mount.Elevation].Position}
		wind := wear.ClassWords(wear.Class(loop.Readings.Value(enclosure.WindMean), 4), 4, "m/s of wind")
		p.Usual.Sample(
			wear.Circumstances{Kind: wear.FollowingError, In: wind},
			mount.Apart(w.in.Commanded, is).Deg(),
			w.in.At,
		)
	}
}

// watchTransmitting takes in what the coolant does while the amplifier gives power.
func (w *work) watchTransmitting() {
	p, r := &w.s.Past, &w.in.Loop.Readings
	if !w.in.Loop.Permit.Keyed {
		p.Keyed = 0
		return
	}
	if p.Keyed == 0 {
		p.Keyed = w.in.Now
	}
	if flow := r.Value(enclosure.CoolantFlow); w.in.Now-p.Keyed > steadyAfter {
		p.Usual.Sample(wear.Circumstances{Kind: wear.CoolantFlow}, flow, w.in.At)
	}
	if forward := r.Value(enclosure.ForwardPower); forward > 20 && w.in.Now-p.Keyed > warmAfter {
		p.Usual.Sample(
			wear.Circumstances{Kind: wear.CoolantRise, In: "at " + wear.ClassWords(wear.Class(forward, 200), 200, "W")},
			r.Value(enclosure.CoolantOut)-r.Value(enclosure.CoolantIn),
			w.in.At,
		)
	}
}

// slowTroubles are what is out of what is usual, as warnings.
func (w *work) slowTroubles() (standing []alarm.Condition) {
	for _, trouble := range w.s.Past.Usual.Troubles() {
		standing = append(standing, alarm.Condition{
			Key:   trouble.Key(),
			Event: true,
			Grade: alarm.Warning,
			Words: message.Of("wear.since", trouble.Words(), trouble.Since),
			Next:  message.Of("wear.next", message.Of(wear.Of(trouble.Kind).Next)),
		})
	}
	return append(standing, w.s.Past.Cable.troubles()...)
}

// SetBaseline forgets what is usual of the thing with a key, as Unusual tells it; learned is what begins again.
func (s *State) SetBaseline(key string) (learned []message.Message) {
	for _, trouble := range s.Past.Usual.Troubles() {
		if key == trouble.Key() {
			s.Past.Usual.Forget(trouble.Kind, trouble.Of)
			learned = append(learned, trouble.What())
		}
	}
	return learned
}

// Unusual are the things out of what is usual now.
func (s *State) Unusual() (list []Unusual) {
	for _, trouble := range s.Past.Usual.Troubles() {
		list = append(list, Unusual{trouble.Key(), message.Of("wear.unusual", trouble.Words())})
	}
	return list
}

// take takes in a figure for the station check.
func (s *State) take(c wear.Circumstances, value float64, usual wear.Past) {
	for i := range s.seen {
		if k := &s.seen[i]; k.Circumstances == c {
			k.sum, k.n = k.sum+value, k.n+1
			return
		}
	}
	s.seen = append(s.seen, seen{c, value, 1, usual})
}
