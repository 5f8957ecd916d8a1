package receiver

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/message"
	"beamhelm/app/panel/stage"
	"beamhelm/app/view"
)

// planned is an invented plan of a sky dip.
func planned(s *desk.Status) *desk.DipPlan {
	return &desk.DipPlan{At: s.At, Az: degrees(380), Els: []unit.Angle{degrees(80), degrees(25), degrees(12)}, Stops: 5,
		Lasts: 4 * time.Minute}
}

// dipResult is an invented result.
func dipResult(s *desk.Status) *desk.DipResult {
	d := &desk.DipResult{At: s.At, Band: s.Band.Name, Az: degrees(20),
		OpacityDB: desk.DipValue{Value: 0.0357, Error: 0.0065},
		ReceiverK: desk.DipValue{Value: 30, Error: 4.4}, SpillK: desk.DipValue{Value: 13, Error: 5},
		ExpectedOpacityDB: 0.033,
		ExpectedReceiverK: 30, ExpectedSpillK: 18}
	for i, el := range []float64{80, 25, 12} {
		d.Points = append(d.Points, desk.DipPoint{El: degrees(el), Airmass: 1 / math.Sin(el*math.Pi/180),
			LevelDB: 0.3 * float64(i), FitDB: 0.31 * float64(i), ErrorDB: 0.01})
	}
	return d
}

// The sheet asks for a plan and starts nothing; Start asks for what is shown.
func TestDipSaysFirstWhatItWillDo(t *testing.T) {
	p, d := open(t, func(s *desk.Status) { s.Activity = desk.Holding })
	p.openDip()
	if asked, ok := stage.Only[desk.SkyDip](d.Asked()); !ok || asked.Begin || !math.IsNaN(asked.Az.Rad()) {
		t.Fatalf("asked %+v", asked)
	}
	p.dip.begin()
	if asked := d.Asked(); len(asked) != 0 {
		t.Fatalf("begun without a plan: %+v", asked)
	}
	status := *d.Status()
	status.Receiving.Dip.Plan = planned(&status)
	p.Show(view.At(&status, 0, 0))
	words := p.dip.lines[0].ControlWords() + p.dip.lines[1].ControlWords() + p.dip.lines[2].ControlWords()
	for _, want := range []string{"Azimuth 20°", "80°, 25°, 12°", "5 stops, about 4 min", "nobody near the dish"} {
		if !strings.Contains(words, want) {
			t.Errorf("no %q in %q", want, words)
		}
	}
	p.dip.azimuth.SetText("nowhere")
	p.dip.plan()
	if asked := d.Asked(); len(asked) != 0 || !strings.Contains(p.dip.wrong.ControlWords(), "0 to 360") {
		t.Errorf("asked %+v, %q", asked, p.dip.wrong.ControlWords())
	}
	p.dip.azimuth.SetText("135.5°")
	p.dip.plan()
	if asked, ok := stage.Only[desk.SkyDip](d.Asked()); !ok || math.Abs(asked.Az.Deg()-135.5) > 1e-9 || asked.Begin {
		t.Errorf("asked %+v", asked)
	}
	p.dip.begin()
	if asked, ok := stage.Only[desk.SkyDip](d.Asked()); !ok || !asked.Begin || math.Abs(asked.Az.Deg()-20) > 1e-9 {
		t.Errorf("asked %+v", asked)
	}
}

// What stands against it is said, and holds the button back.
func TestDipIsBlocked(t *testing.T) {
	for says, change := range map[string]func(*desk.Status){
		"the Sun is too near": func(s *desk.Status) { s.Receiving.Dip.Plan.Why = message.Text("the Sun is too near") },
		"is running":          func(s *desk.Status) { s.Receiving.Running = true },
		"noise level":         func(s *desk.Status) { s.Noise.Clean = false },
		"locked out":          func(s *desk.Status) { s.Lock.Locked = true },
		"working":             func(s *desk.Status) { s.Working = true },
	} {
		p, d := open(t, func(s *desk.Status) {
			s.Receiving.Dip.Plan = planned(s)
			change(s)
		})
		p.openDip()
		d.Asked()
		p.dip.begin()
		words := strings.ToLower(p.dip.lines[0].ControlWords() + p.dip.lines[2].ControlWords())
		if asked := d.Asked(); len(asked) != 0 || !strings.Contains(words, strings.ToLower(says)) {
			t.Errorf("%s: asked %+v, %q", says, asked, words)
		}
	}
}

// The newest result takes the place of an older Y factor, with its errors and a plot.
func TestDipResultIsShown(t *testing.T) {
	p, _ := open(t, func(s *desk.Status) { s.Receiving.Dip.Last = dipResult(s) })
	if p.about.ControlWords() != "Sky dip, 5760 MHz, azimuth 20°" ||
		!strings.Contains(p.note.ControlWords(), "The settings set the scale") {
		t.Errorf("%q, %q", p.about.ControlWords(), p.note.ControlWords())
	}
	lines := view.DipFigures(p.now)
	for i, want := range []string{"0.036 ±0.007", "30 ±4 K", "13 ±5 K", "+0.60 dB"} {
		if lines[i].Value.Words != want {
			t.Errorf("%q, want %q", lines[i].Value.Words, want)
		}
	}
	plot := view.DipPlot(p.now.Receiving.Dip.Last)
	if !plot.Has() || len(plot.Series[0].X) != 3 || plot.Series[1].Y[2] != 0.62 ||
		math.Abs(plot.Series[0].X[2]-4.81) > 0.01 {
		t.Errorf("plot %+v", plot)
	}
}
