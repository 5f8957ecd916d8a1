package serve

import (
	"math"
	"time"

	"beamhelm/drive/enclosure"
)

// watch looks for what must end motion.
func (e *Enclosure) watch() {
	running := e.power != powerOff
	if period := time.Duration(e.written[placeWatchdog]) * time.Millisecond; (running || e.permit) &&
		e.now-e.fed >= period {
		e.trip(enclosure.TripWatchdog)
		e.setOutputs(e.outputs &^ enclosure.OutputNoiseSource)
	}
	if e.now-e.fedEver >= maxNoiseSource {
		e.setOutputs(e.outputs &^ enclosure.OutputNoiseSource)
	}
	if running && e.seen.StopOpen {
		e.trip(enclosure.TripStop)
	}
	if running && e.seen.HandPanel {
		e.trip(enclosure.TripHand)
	}
	switch {
	case e.power == powerComingOn && e.seen.Powered:
		e.power = powerOn
	case e.power == powerComingOn && e.now-e.coming >= maxComingOn, e.power == powerOn && !e.seen.Powered:
		e.trip(enclosure.TripPower)
	}
	for i := range e.axes {
		if !e.config.Fitted.Axis(i) {
			continue
		}
		if e.seen.Axes[i].DriveFault {
			e.trip(enclosure.DriveTrip(i))
		}
		if e.seen.Axes[i].EncoderAlarm || e.silent(i) {
			e.lost[i] = true
			e.trip(enclosure.EncoderTrip(i))
		}
	}
}

// silent says whether an encoder has not counted though its axis was driven.
func (e *Enclosure) silent(i int) bool {
	s := &e.seen.Axes[i]
	if math.Abs(e.applied[i]) < silentDrive || s.EndLow || s.EndHigh {
		e.driven[i] = e.now
	}
	if s.SinceCount >= 0 {
		e.driven[i] = max(e.driven[i], e.now-s.SinceCount)
	}
	return e.now-e.driven[i] >= silentEncoder
}

// trip ends motion and the leave to transmit at once, and stays until it is cleared.
func (e *Enclosure) trip(t enclosure.Trips) {
	e.trips |= t
	if e.power != powerOff || !e.byHand() {
		e.applied = [2]float64{}
	}
	e.power = powerOff
	e.setPermit(false)
}

func (e *Enclosure) setPermit(on bool) {
	if e.permit != on {
		e.permit, e.changed = on, e.now
	}
}

func (e *Enclosure) setOutputs(o enclosure.Outputs) {
	if e.outputs != o {
		e.outputs, e.changed = o, e.now
	}
}

// switching says whether the sequencer is anywhere but in receive; in its fault it stays there.
func (e *Enclosure) switching() bool {
	state := e.seen.Readings[enclosure.Sequencer]
	return state > enclosure.SequencerReceive && state < enclosure.SequencerFault
}

// remember keeps means, latches and times.
func (e *Enclosure) remember() {
	if e.seen.Keyed || e.wasKeyed || e.switching() {
		e.changed = e.now
	}
	if e.wasKeyed = e.seen.Keyed; e.wasKeyed {
		e.keyed = e.now
	}
	e.detector.add(e.seen.DetectorUV)
	second := int(e.now/time.Second) % len(e.axes[0].peaks)
	opens := e.now%time.Second < e.config.Step
	for i := range e.axes {
		a, s := &e.axes[i], &e.seen.Axes[i]
		a.current.add(s.CurrentA)
		if opens {
			a.peaks[second] = 0
		}
		a.peaks[second] = max(a.peaks[second], math.Abs(s.CurrentA))
		if s.OnMark && !a.wasOnMark && s.Upward {
			a.markCounts, a.markEntries = s.MarkCounts-a.base, a.markEntries+1
		}
		a.wasOnMark = s.OnMark
	}
}

// window is the mean of the newest samples.
type window struct {
	samples [100]float64
	size    int // of the window, in samples
	n       int // samples ever taken
}

func (w *window) add(v float64) {
	w.samples[w.n%w.size] = v
	w.n++
}

// mean is NaN where any sample of the window is, or there is none.
func (w *window) mean() float64 {
	sum := 0.0
	n := min(w.n, w.size)
	for _, v := range w.samples[:n] {
		sum += v
	}
	return sum / float64(n)
}
