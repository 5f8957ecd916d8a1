package view

import (
	"math"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
)

// What is said of a replayed moment: what was recorded, and 'not recorded' greyed for the rest.
func TestWordsOfAReplay(t *testing.T) {
	at := time.Date(2027, 3, 12, 21, 14, 5, 0, time.UTC)
	status := desk.Status{At: at}
	status.Link.Heard = true
	status.Axes[0] = desk.Axis{Fitted: true, Trusted: true, Position: unit.AngleFromDeg(117.25), HasSetpoint: true,
		Setpoint: unit.AngleFromDeg(118), Applied: -0.28, CurrentA: 1.2}
	status.Axes[1] = desk.Axis{Fitted: true, Applied: math.NaN(), CurrentA: math.NaN()}
	status.Noise = desk.Noise{Fitted: true}
	now := Now{Status: &status, Replay: ReplayWords(at)}
	if now.Replay != "Replay, 12 Mar 21:14:05 UTC" || now.Live || !now.Shown() {
		t.Errorf("%q", now.Replay)
	}
	a := LaneOf(now, Azimuth)
	if a.Position != (Phrase{"117.25", Measured}) || a.Mark != (Phrase{"replay", Attention}) ||
		a.Setpoint.Words != "commanded 118.00°" || a.Motion.Words != "drive −28 % · 1.2 A" ||
		a.Own != (Phrase{"target not recorded", Old}) {
		t.Errorf("azimuth %+v", a)
	}
	if e := LaneOf(now, Elevation); e.Position != (Phrase{Missing, Old}) ||
		e.Setpoint != (Phrase{"position not recorded", Old}) || e.Motion != (Phrase{"drive not recorded", Old}) {
		t.Errorf("elevation %+v", e)
	}
	if b := BeamOf(now); b.HalfPower != 0 || !(b.Reach > 0) {
		t.Errorf("a half-power width of %v, of which band isn't recorded", b.HalfPower)
	}
	if _, off, _ := BeamOf(now).Words(now); off != (Phrase{"position not recorded", Old}) {
		t.Errorf("beam view %+v", off)
	}
	for want, noise := range map[string]desk.Noise{
		"– dB, replay 21:14:05, not recorded": {Fitted: true},
		"28.7 dB, replay 21:14:05":            {Fitted: true, Clean: true, LevelDB: 28.7},
		"1.5 dB, replay 21:14:05, above cold sky": {Fitted: true, Clean: true, LevelDB: 28.7, HasCold: true,
			ColdDB: 27.2},
	} {
		status.Noise = noise
		if got := NoiseWords(now); got.Head.Words+", "+got.Under.Words != want {
			t.Errorf("noise %q, %q, want %q", got.Head.Words, got.Under.Words, want)
		}
	}
	status.Noise, status.Transmit.Keyed = desk.Noise{Fitted: true}, true
	if got := NoiseWords(now).Under.Words; got != "replay 21:14:05, transmitting" {
		t.Errorf("while transmitting %q", got)
	}
	if got := ReplayDid("locked out", math.NaN()); got != "Locked out" {
		t.Errorf("did %q", got)
	}
}
