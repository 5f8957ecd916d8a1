package receiver

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/desk/peak"
	"beamhelm/app/desk/receiver"
	"beamhelm/app/message"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

func degrees(d float64) unit.Angle { return unit.AngleFromDeg(d) }

// found is an invented peak.
func found() *desk.PeakResult {
	shape := peak.NewShape(degrees(0.6), degrees(0.53))
	curve := func(centre float64) desk.PeakCurve {
		var points []peak.Point
		for i := range 80 {
			x := (float64(i)/79 - 0.5) * 3 * shape.Width.Deg()
			points = append(points, peak.Point{Off: degrees(x),
				Power: 1 + 3*shape.At(degrees(x-centre)) + 0.01*math.Sin(float64(7*i)), Up: true})
		}
		fit, err := peak.Sweep(points, shape)
		return desk.PeakCurve{Points: points, Fit: fit, Shape: shape, Has: err == nil}
	}
	s := stage.Tracking()
	p := &desk.PeakResult{At: s.At, Band: s.Band.Name, Target: "Sun",
		Curves: [2]desk.PeakCurve{curve(0.12), curve(-0.05)}, SignalDB: 6.0213, SignalError: 0.0123,
		Beam: [2]unit.Angle{degrees(0.6004), degrees(0.61)}, BeamError: [2]unit.Angle{degrees(0.00041), degrees(0.012)}}
	p.Found.Cross, p.Found.El = degrees(0.12), degrees(-0.05)
	p.Error.Cross, p.Error.El = degrees(0.004), degrees(0.003)
	return p
}

func open(t *testing.T, change func(*desk.Status)) (*Pane, *stage.Desk) {
	t.Helper()
	test.NewTempApp(t)
	status := stage.Tracking()
	change(&status)
	d := stage.New(status)
	w := test.NewTempWindow(t, nil)
	layer := widget.NewOpen(w.Canvas(), func() float32 { return 0 })
	p := New(widget.Context{Desk: d, Open: layer, Hand: widget.NewHand(d)})
	w.SetContent(container.NewStack(p.Object(), layer.Object()))
	w.Resize(fyne.NewSize(420, 560))
	p.Show(view.At(d.Status(), 0, 0))
	return p, d
}

func TestButtonsFollowThePeak(t *testing.T) {
	for name, c := range map[string]struct {
		change         func(*desk.Status)
		take, end, use bool
		head, verdict  string
	}{
		"tracking":  {func(*desk.Status) {}, true, false, false, "No peak yet", ""},
		"holding":   {func(s *desk.Status) { s.Activity = desk.Holding }, false, false, false, "No peak yet", ""},
		"fast time": {func(s *desk.Status) { s.TimeScale = 60 }, false, false, false, "No peak yet", ""},
		"no meter":  {func(s *desk.Status) { s.Noise.Fitted = false }, false, false, false, "No peak yet", ""},
		"under way": {func(s *desk.Status) {
			s.Peak = desk.Peak{Running: true, Doing: message.Text("Scanning cross-elevation"), Part: 0.25}
		},
			false, true, false, "Scanning cross-elevation", ""},
		"found": {func(s *desk.Status) { s.Peak = desk.Peak{Last: found(), Usable: true} }, true, false, true,
			"The Sun, 5760 MHz, cross-scan", "Applying it moves the beam 0.02° right and 0.01° up"},
		"applied": {func(s *desk.Status) { s.Peak = desk.Peak{Last: found(), Applied: true} }, true, false, false,
			"The Sun, 5760 MHz, cross-scan", "Applied as trim"},
		"of another band": {func(s *desk.Status) { s.Peak = desk.Peak{Last: found()} }, true, false, false,
			"The Sun, 5760 MHz, cross-scan", "Measured with another band, feed or target"},
		"refused": {func(s *desk.Status) {
			s.Peak = desk.Peak{Last: found()}
			s.Peak.Last.Why = message.Text("cross-elevation: the signal is only 4.0 times its error: 10 is wanted")
		}, true, false, false, "The Sun, 5760 MHz, cross-scan",
			"Unusable: cross-elevation: the signal is only 4.0 times its error: 10 is wanted"},
	} {
		t.Run(name, func(t *testing.T) {
			p, _ := open(t, c.change)
			if p.sweeps.Disabled() == c.take || p.stops.Disabled() == c.take || p.end.Disabled() == c.end ||
				p.use.Disabled() == c.use {
				t.Errorf("take %v, end %v, use %v", !p.sweeps.Disabled(), !p.end.Disabled(), !p.use.Disabled())
			}
			if p.head.ControlWords() != c.head || p.verdict.ControlWords() != c.verdict {
				t.Errorf("head %q, verdict %q", p.head.ControlWords(), p.verdict.ControlWords())
			}
		})
	}
}

func TestOrders(t *testing.T) {
	p, d := open(t, func(s *desk.Status) { s.Peak = desk.Peak{Last: found(), Usable: true}; s.Preamplifier = true })
	for _, button := range []*widget.Button{p.sweeps, p.stops, p.use, p.preamplifier, p.noiseMaker} {
		test.Tap(button)
	}
	want := []desk.Order{
		desk.TakePeak{Sweeps: true}, desk.TakePeak{}, desk.UsePeak{}, desk.Preamplifier{},
		desk.NoiseSource{On: true},
	}
	got := d.Asked()
	if len(got) != len(want) {
		t.Fatalf("asked %+v", got)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("order %d: %+v, want %+v", i, got[i], want[i])
		}
	}
}

// The drawn curve is that of the fit, and its top stands at the centre found.
func TestPlots(t *testing.T) {
	result := found()
	plots := view.PeakPlots(result)
	for axis, centre := range [2]float64{0.12, -0.05} {
		plot := plots[axis]
		top := 0
		fit := plot.Series[1]
		for i := range fit.Y {
			if fit.Y[i] > fit.Y[top] {
				top = i
			}
		}
		if !plot.Has() || math.Abs(fit.X[top]-centre) > 0.02 || math.Abs(fit.Y[top]-10*math.Log10(4)) > 0.15 {
			t.Errorf("axis %d: top of %.2f dB at %.3f", axis, fit.Y[top], fit.X[top])
		}
	}
}

// While a peak is measured its levels are drawn as they come, the fit and its error as soon as there is one; the peak
// before is not shown with them.
func TestAPeakUnderWay(t *testing.T) {
	soFar := found()
	soFar.Curves[0].Points = soFar.Curves[0].Points[:30]
	soFar.Curves[0].Has, soFar.Curves[1] = false, desk.PeakCurve{}
	running := func(s *desk.Status) { s.Peak = desk.Peak{Running: true, Last: found(), SoFar: soFar} }
	p, d := open(t, running)
	plots := view.PeakPlots(p.last)
	if p.last != soFar || !plots[0].Has() || len(plots[0].Series) != 1 || len(plots[0].Series[0].X) != 30 ||
		plots[1].Has() {
		t.Errorf("levels without a fit: %+v", plots)
	}
	whole := stage.Tracking()
	whole.Peak = desk.Peak{Last: found()}
	f := view.PeakFigures(view.At(&whole, 1, 0))
	if f[2].Value.Words != "6.021 ±0.012 dB" || f[3].Value.Words != "0.6004 ±0.0004°" ||
		f[4].Value.Words != "0.610 ±0.012°" || f[3].Note.Words != "expected 0.60°" ||
		!strings.HasPrefix(f[4].Note.Words, "scan 0.68") {
		t.Errorf("errors of height and width: %+v", f[2:])
	}
	p.Show(view.At(&whole, 1, 0))
	widget.Walk(p.Object(), func(o fyne.CanvasObject) {
		if text, is := o.(*widget.Text); is && strings.HasPrefix(text.ControlName(), "peak-") && text.Cut() {
			t.Errorf("%s is cut: %q", text.ControlName(), text.ControlWords())
		}
	})
	fitted := found()
	fitted.Curves[1] = desk.PeakCurve{}
	status := stage.Tracking()
	status.Peak = desk.Peak{Running: true, SoFar: fitted}
	d.Set(status)
	now := view.At(d.Status(), 1, 0)
	p.Show(now)
	if figures := view.PeakFigures(now); p.last != fitted || !strings.Contains(figures[0].Note.Words, "±0.004") ||
		figures[1].Value.Words != view.Missing {
		t.Errorf("with a fit of one axis: %+v", figures)
	}
	status.Peak = desk.Peak{Running: true, Last: found()}
	d.Set(status)
	if p.Show(view.At(d.Status(), 2, 0)); p.last != nil {
		t.Error("before its first level the peak before is shown")
	}
}

func TestReceiverFigures(t *testing.T) {
	result := &desk.ReceiverResult{At: stage.Evening(), Band: "5760 MHz", Target: "Sun",
		Doubt: message.Text("the quiet Sun is taken: enter the day's flux")}
	result.Figures.YDB, result.Figures.YErrorDB, result.Figures.GTDB, result.Figures.GTErrorDB = 16.61, 0.02, 17.9, 0.9
	result.Figures.SystemK, result.Figures.SystemErrorK, result.Figures.ExpectedSystemK = 51.5, 10.3, 45.9
	for name, c := range map[string]struct {
		change            func(*desk.Status)
		measure, end      bool
		head, value, note string
	}{
		"not yet": {func(*desk.Status) {}, true, false, "Receiver, not measured yet", "–",
			"Alternating on and off source, about four minutes"},
		"no flux": {func(s *desk.Status) { s.Receiving.Why = message.Of("expected.no-flux") }, true, false,
			"Receiver, not measured yet", "–", "The flux of this target is not known"},
		"under way": {func(s *desk.Status) {
			s.Receiving =
				desk.Receiving{Running: true, Doing: message.Text("Off the Sun"), Part: 0.5}
		}, false, true, "Off the Sun", "–", ""},
		"quiet": {func(s *desk.Status) { s.Receiving.Last = result }, true, false, "The Sun, 5760 MHz, Y factor",
			"16.610 ±0.020 dB", "The quiet Sun is taken: enter the day's flux"},
		"of no use": {func(s *desk.Status) {
			s.Receiving.Last = &desk.ReceiverResult{Target: "Cas A", Band: "1296 MHz",
				Why: message.Text("the source does not stand out of the noise")}
		}, true, false, "Cas A, 1296 MHz, Y factor", "–", "Unusable: the source does not stand out of the noise"},
		"one before": {func(s *desk.Status) { s.Receiving.Before = []desk.ReceiverResult{*result} }, true, false,
			"Receiver, not measured yet", "–", "Previously, 16:04: G/T 17.9 dB/K, 52 K"},
	} {
		t.Run(name, func(t *testing.T) {
			p, _ := open(t, c.change)
			if p.measure.Disabled() == c.measure || p.endMeasure.Disabled() == c.end {
				t.Errorf("measure %v, end %v", !p.measure.Disabled(), !p.endMeasure.Disabled())
			}
			value := view.ReceiverFigures(p.now)[0].Value.Words
			if p.about.ControlWords() != c.head || value != c.value || p.note.ControlWords() != c.note {
				t.Errorf("head %q, value %q, note %q", p.about.ControlWords(), value, p.note.ControlWords())
			}
		})
	}
}

// press presses a button by its name, wherever it is.
func press(t *testing.T, in fyne.CanvasObject, name string) {
	t.Helper()
	found := false
	widget.Walk(in, func(o fyne.CanvasObject) {
		if tapped, ok := o.(fyne.Tappable); ok && !found {
			if named, ok := o.(widget.Named); ok && named.ControlName() == name {
				found = true
				tapped.Tapped(nil)
			}
		}
	})
	if !found {
		t.Fatalf("there is no %s", name)
	}
}

// What is compared with cold sky is chosen from a menu.
func TestMeasures(t *testing.T) {
	for name, want := range map[string]desk.Order{
		"measure-target": desk.MeasureY{}, "measure-ground": desk.Compare{},
		"measure-source": desk.Compare{NoiseSource: true},
	} {
		p, d := open(t, func(*desk.Status) {})
		test.Tap(p.measure)
		press(t, p.with.Open.Object(), name)
		if got := d.Asked(); len(got) != 1 || got[0] != want {
			t.Errorf("%s asks for %+v", name, got)
		}
	}
}

// The history has a point for each good result on the band in use, and a line of what should be.
func TestHistory(t *testing.T) {
	var all []desk.ReceiverResult
	for i := range 6 {
		r := desk.ReceiverResult{At: stage.Evening().AddDate(0, 0, i-6), Band: "1296 MHz", Target: "Sun"}
		r.Figures.GTDB, r.Figures.ExpectedGTDB, r.Figures.GTErrorDB = 5-0.1*float64(i), 5.1, 0.3
		r.Figures.SystemK, r.Figures.ExpectedSystemK = 50+float64(i), 48
		switch i {
		case 1:
			r.Band = "5760 MHz"
		case 2:
			r.Why = message.Text("of no use")
		case 3:
			r.Target, r.Figures.GTDB, r.Figures.ExpectedGTDB, r.Figures.YDB = "the noise source", 0, 0, 3.4
		}
		all = append(all, r)
	}
	p, _ := open(t, func(s *desk.Status) {
		s.Receiving.Before, s.Band.Name = all, "1296 MHz"
		s.Trims = []desk.KeptTrim{{Band: "1296 MHz", Feed: "horn", Kind: desk.Sun, CrossEl: 0.01, El: -0.02,
			At: stage.Evening()}}
	})
	plots := view.ReceiverHistory(p.now)
	for i, want := range []int{3, 4, 1} {
		if got := len(plots[i].Series[0].X); got != want || !plots[i].Has() {
			t.Errorf("%s: %d points, want %d", plots[i].Title, got, want)
		}
	}
	if g := plots[0]; g.Low > 4.5 || g.High < 5.1 || g.Left > view.UnixSeconds(all[0].At) {
		t.Errorf("G/T from %v to %v, since %v", g.Low, g.High, g.XWords(g.Left))
	}
	test.Tap(p.past)
	press(t, p.with.Open.Object(), "history-close")
	test.Tap(p.trims)
	line := ""
	widget.Walk(p.with.Open.Object(), func(o fyne.CanvasObject) {
		if text, ok := o.(*widget.Prose); ok && text.ControlName() == "trim-line" {
			line = text.ControlWords()
		}
	})
	if want := "1296 MHz, horn, Sun: cross-elevation +0.57°, up −1.15°, of " + view.Day(stage.Evening()); line != want {
		t.Errorf("%q, want %q", line, want)
	}
}

// A day's flux is entered frequency by frequency, checked before it is asked for; an old one can be confirmed.
func TestSolarFlux(t *testing.T) {
	p, d := open(t, func(s *desk.Status) { s.Receiving.SunOld = true })
	test.Tap(p.flux)
	entry := func(name string) *widget.Entry {
		var found *widget.Entry
		widget.Walk(p.with.Open.Object(), func(o fyne.CanvasObject) {
			if e, ok := o.(*widget.Entry); ok && e.ControlName() == name {
				found = e
			}
		})
		if found == nil {
			t.Fatalf("there is no %s", name)
		}
		return found
	}
	press(t, p.with.Open.Object(), "flux-apply")
	if len(d.Asked()) != 0 {
		t.Fatalf("nothing entered asks for %+v", d.Asked())
	}
	entry("flux-date").SetText("2027-04-14")
	entry("flux-1415").SetText(" 62 ")
	entry("flux-2800").SetText("hot")
	press(t, p.with.Open.Object(), "flux-apply")
	if len(d.Asked()) != 0 {
		t.Fatalf("a word asks for %+v", d.Asked())
	}
	entry("flux-2800").SetText("85.5")
	press(t, p.with.Open.Object(), "flux-apply")
	if got := d.Asked(); len(got) != 1 || got[0] != (desk.FluxTo{Words: "2027-04-14 1415 62 2800 85.5"}) {
		t.Fatalf("asked %+v", got)
	}
	test.Tap(p.flux)
	press(t, p.with.Open.Object(), "flux-confirm")
	if got := d.Asked(); len(got) != 1 || got[0] != (desk.FluxTo{Confirm: true}) {
		t.Errorf("asked %+v", got)
	}
}

// What the charts of peaks, of the receiver's history, of a sky dip and of the solar flux draw, in each palette.
func TestChartPictures(t *testing.T) {
	var all []desk.ReceiverResult
	for i := range 9 {
		r := desk.ReceiverResult{At: stage.Evening().AddDate(0, i-9, 0), Band: "1296 MHz", Target: "the Sun"}
		r.Figures.GTDB, r.Figures.ExpectedGTDB = 5-0.2*float64(i%4), 5.1
		r.Figures.SystemK, r.Figures.ExpectedSystemK = 70+3*float64(i%4), 70
		all = append(all, r)
	}
	p, _ := open(t, func(s *desk.Status) {
		s.Peak.Last, s.Receiving.Before, s.Band.Name = found(), all, "1296 MHz"
	})
	history := chart.NewPlot(p.with, "history")
	history.Show(view.ReceiverHistory(p.now)[0])
	dip := chart.NewPlot(p.with, "dip")
	dip.Show(view.DipPlot(dipResult(stage.New(stage.Tracking()).Status())))
	var reports receiver.Reports
	for i, sfu := range []float64{74, 81, 79, 96, 88, 120, 104, 91} {
		day := stage.Evening().AddDate(0, 0, 3*i-30).Format(time.DateOnly)
		r, err := receiver.ParseReport(fmt.Sprintf("%s 1415 %v 2800 %v", day, sfu*0.8, sfu))
		if err != nil {
			t.Fatal(err)
		}
		reports = reports.With(r)
	}
	flux := chart.NewPlot(p.with, "flux")
	entered := stage.Tracking()
	entered.Receiving.Reports = reports
	flux.Show(view.FluxHistory(view.At(&entered, 0, 0)))
	for _, palette := range widget.Palettes() {
		fyne.CurrentApp().Settings().SetTheme(widget.NewTheme(palette))
		test.AssertImageMatches(t, "flux-"+palette.Name+".png", flux.Draw(380, 110, 1))
		test.AssertImageMatches(t, "peak-"+palette.Name+".png", p.plots[0].Draw(180, 120, 1))
		test.AssertImageMatches(t, "history-"+palette.Name+".png", history.Draw(380, 130, 1))
		test.AssertImageMatches(t, "dip-"+palette.Name+".png", dip.Draw(380, 130, 1))
	}
}
