package spectrum

import (
	"bytes"
	"context"
	"image/color"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/audio"
	"beamhelm/app/audio/spectrum"
	"beamhelm/app/desk"
	"beamhelm/app/desk/radio"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
	"beamhelm/app/wavfile"
)

// player is a sound system that gives a tone in noise.
type player struct{ got func([]float32) }

func (p *player) Inputs() ([]audio.Device, error) {
	return []audio.Device{{ID: "in", Name: "Line in"}}, nil
}
func (p *player) Outputs() ([]audio.Device, error) { return nil, nil }
func (p *player) Capture(_ string, got func([]float32)) (audio.Stream, error) {
	p.got = got
	return p, nil
}
func (p *player) Play(string, func([]float32)) (audio.Stream, error) { return nil, audio.ErrNotFound }
func (p *player) Close()                                             {}

// heard is a receiver that has heard seconds of a tone in noise.
func heard(t *testing.T, seconds int, hz float64) *audio.Receiver {
	t.Helper()
	var r *audio.Receiver
	synctest.Test(t, func(t *testing.T) {
		p := &player{}
		r = audio.NewReceiver(p, "in")
		ctx, cancel := context.WithCancel(t.Context())
		ended := make(chan struct{})
		go func() { defer close(ended); r.Run(ctx) }()
		time.Sleep(time.Millisecond)
		synctest.Wait()
		chance, block := rand.New(rand.NewPCG(1, 2)), make([]float32, audio.InputFrames)
		for b := range 50 * seconds {
			for i := range block {
				at := float64(b*len(block)+i) / audio.Rate
				block[i] = float32(0.1*chance.NormFloat64() + 0.05*math.Sin(2*math.Pi*hz*at))
			}
			time.Sleep(20 * time.Millisecond)
			p.got(block)
		}
		synctest.Wait()
		cancel()
		<-ended
	})
	return r
}

// listened is a receiver that has ended, to which somebody listens.
type listened struct {
	*audio.Receiver
	times int
}

func (l *listened) Listen() { l.times++ }

// shown is the pane in a window, after it has made its rows.
func shown(t *testing.T, r *audio.Receiver, size fyne.Size) (*Pane, fyne.Window) {
	t.Helper()
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	w := test.NewTempWindow(t, widget.NewLabel(""))
	open := widget.NewOpen(w.Canvas(), func() float32 { return 0 })
	source := &listened{Receiver: r}
	p := New(widget.Context{Open: open}, source, view.AudioScale{PitchHz: 1500})
	w.SetContent(container.NewStack(p.Object(), open.Object()))
	w.Resize(size)
	w.Canvas().Capture()
	status := stage.Tracking()
	status.Radio = &desk.Radio{Band: "1296 MHz", Up: true, AgreedHz: 1296e6, ListenHz: 1296.1e6, SendHz: 1296.1e6,
		Dial: radio.Dial{ReceiveHz: 144.1e6, TransmitHz: 144.1e6, ReceiveAirHz: 1296.1e6, TransmitAirHz: 1296.1e6},
		Own:  radio.Signal{DopplerHz: -700, SpreadHz: 40}}
	now := view.At(&status, 1, 0)
	for before := -1; before != len(p.rows.Rows()); p.Show(now) {
		before = len(p.rows.Rows())
	}
	if source.times == 0 {
		t.Error("it is shown and doesn't listen")
	}
	p.plot.again()
	w.Canvas().Capture()
	return p, w
}

// The tone is where it should be in the picture, the own echo's place where Doppler puts it, and the pointer reads
// both.
func TestTheToneIsSeen(t *testing.T) {
	p, _ := shown(t, heard(t, 20, 1200), fyne.NewSize(410, 600))
	if p.plot.cursor.Visible() {
		t.Error("a cursor is shown while the pointer is elsewhere")
	}
	columns := p.plot.fall.columns
	w, h := len(columns), p.plot.fall.picture.Bounds().Dy()
	if w < 300 || h < 200 || p.plot.fall.drawn < 70 {
		t.Fatalf("%d by %d pixels, %d rows", w, h, p.plot.fall.drawn)
	}
	bright := func(x, y int) int { c := p.plot.fall.picture.RGBAAt(x, y); return int(c.R) + int(c.G) + int(c.B) }
	best := 0
	for x := range w {
		if bright(x, 5) > bright(best, 5) {
			best = x
		}
	}
	if hz := (float64(best) + 0.5) / float64(w) * 3000; math.Abs(hz-1200) > 10 {
		t.Errorf("the brightest column is at %.0f Hz", hz)
	}
	if c := p.plot.fall.picture.RGBAAt(best, 5); c != p.plot.fall.colours[255] {
		t.Errorf("a tone 26 dB over the noise has the colour %v", c)
	}
	if c := p.plot.fall.picture.RGBAAt(best, h-1); c !=
		(color.RGBA{widget.Dusk().Well.R, widget.Dusk().Well.G, widget.Dusk().Well.B, 255}) {
		t.Errorf("below the rows the colour is %v", c)
	}
	if len(p.marks) != 1 || p.marks[0].Hz != 800 || p.marks[0].WidthHz != 40 ||
		!strings.Contains(p.own.ControlWords(), "800 Hz") {
		t.Errorf("marks %+v, %q", p.marks, p.own.ControlWords())
	}
	x := leftEdge + float32(1200.0/3000)*p.plot.line.Size().Width
	p.plot.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(x,
		p.plot.falls.Position().Y+5)}})
	words := p.readout.ControlWords()
	for _, want := range []string{"1200 Hz", "1296.099 700 MHz", " dB", "UTC"} {
		if !strings.Contains(words, want) {
			t.Errorf("the pointer reads %q, without %q", words, want)
		}
	}
	p.plot.MouseOut()
	if strings.Contains(p.readout.ControlWords(), "Hz") {
		t.Errorf("the pointer is gone: %q", p.readout.ControlWords())
	}
}

// Wheel, drag and keys change what is looked at, within what is heard; the frequency under the pointer stays.
func TestLooking(t *testing.T) {
	p, _ := shown(t, heard(t, 8, 1200), fyne.NewSize(410, 600))
	at := fyne.NewPos(leftEdge+0.25*p.plot.line.Size().Width, 300)
	hz := p.plot.hz(at.X)
	p.plot.Scrolled(&fyne.ScrollEvent{PointEvent: fyne.PointEvent{Position: at}, Scrolled: fyne.NewDelta(0, 10)})
	if v := p.look.view(); v.HighHz-v.LowHz != 2000 || math.Abs(p.plot.hz(at.X)-hz) > 2 {
		t.Errorf("%+v, %g Hz at the pointer, was %g", v, p.plot.hz(at.X), hz)
	}
	for range 10 {
		p.plot.TypedRune('+')
		p.plot.TypedKey(&fyne.KeyEvent{Name: fyne.KeyRight})
	}
	if v := p.look.view(); v.HighHz-v.LowHz != 100 || v.HighHz > spectrum.PassHz {
		t.Errorf("%+v", v)
	}
	for range 20 {
		p.plot.TypedKey(&fyne.KeyEvent{Name: fyne.KeyUp})
		p.plot.TypedKey(&fyne.KeyEvent{Name: fyne.KeyPageUp})
		p.plot.TypedRune('-')
		p.plot.TypedKey(&fyne.KeyEvent{Name: fyne.KeyLeft})
	}
	if v := p.look.view(); v.LowHz != 0 || v.HighHz != 4000 || v.Average != 5*time.Second || tops[p.look.top] != 60 {
		t.Errorf("%+v, level %g", v, tops[p.look.top])
	}
	p.plot.TypedKey(&fyne.KeyEvent{Name: fyne.KeyHome})
	if p.look != usualLook() {
		t.Errorf("Home: %+v", p.look)
	}
	p.plot.Dragged(&fyne.DragEvent{Dragged: fyne.NewDelta(50, 0)})
	if p.look.middle != 1500 {
		t.Errorf("dragged beyond what is heard: the middle is at %d Hz", p.look.middle)
	}
	p.take(p.look.narrower(3, 1500))
	before := p.look.middle
	p.plot.Dragged(&fyne.DragEvent{Dragged: fyne.NewDelta(-50, 0)})
	if p.look.middle <= before {
		t.Errorf("dragged to the left, the middle goes from %d to %d Hz", before, p.look.middle)
	}
}

// While the transmitter is keyed nothing is shown as heard; a frozen picture stands still.
func TestSendingAndFrozen(t *testing.T) {
	r := heard(t, 8, 1200)
	p, _ := shown(t, r, fyne.NewSize(410, 600))
	rows := p.rows.Rows()
	p.keyed.note(true, rows[10].From.Add(time.Millisecond))
	p.keyed.note(false, rows[12].From.Add(time.Millisecond))
	p.rows.Forget()
	for p.make(time.Now()) > 0 {
	}
	for i, row := range p.rows.Rows()[:20] {
		if want := i >= 10 && i <= 12; row.Sending != want {
			t.Errorf("row %d: sending %v", i, row.Sending)
		}
	}
	p.toggle()
	p.rows.Forget()
	p.Show(p.now)
	if len(p.rows.Rows()) != 0 {
		t.Error("a frozen picture goes on")
	}
	p.toggle()
	if p.Show(p.now); len(p.rows.Rows()) == 0 {
		t.Error("it doesn't run again")
	}
}

// A recording says when, where and on what band it was made, and holds what was heard.
func TestRecorded(t *testing.T) {
	r := heard(t, 8, 1200)
	p, _ := shown(t, r, fyne.NewSize(410, 600))
	tape := r.Tape()
	file, err := recorded(tape, tape.Oldest(), tape.Written(), p.about())
	if err != nil {
		t.Fatal(err)
	}
	got, err := wavfile.Read(bytes.NewReader(file))
	if err != nil || got.RateHz != 12000 || len(got.Samples) != int(tape.Written()) {
		t.Fatalf("%g Hz, %d samples, %v", got.RateHz, len(got.Samples), err)
	}
	for _, want := range []string{p.now.Station.Name, p.now.Station.Locator, "1296 MHz", "1296.100 000 MHz",
		time.Now().UTC().Format("2006-")[:1]} {
		if !bytes.Contains(file, []byte(want)) {
			t.Errorf("the file doesn't say %q", want)
		}
	}
	if _, err := recorded(&audio.Tape{}, 0, 0, p.about()); err == nil {
		t.Error("nothing was heard, and it is written")
	}
}

// The colour map rises evenly in lightness, L* of CIE 1976, so that equal steps of level look equal in all
// palettes, and for eyes without one kind of cones.
func TestColoursRiseEvenly(t *testing.T) {
	colours := newColours(1)
	lightness := func(c color.RGBA) float64 {
		white := widget.Contrast(color.NRGBA{c.R, c.G, c.B, 255}, color.NRGBA{0, 0, 0, 255})
		y := white*0.05 - 0.05
		if y <= 216.0/24389 {
			return y * 24389 / 27
		}
		return 116*math.Cbrt(y) - 16
	}
	first, last := lightness(colours[0]), lightness(colours[255])
	if first > 20 || last < 88 {
		t.Errorf("from %.0f to %.0f", first, last)
	}
	for i := range colours {
		if want := first + (last-first)*float64(i)/255; math.Abs(lightness(colours[i])-want) > 4 {
			t.Errorf("step %d: %.1f, want %.1f", i, lightness(colours[i]), want)
		}
	}
}

// Words where nothing is to be heard.
func TestNoAudio(t *testing.T) {
	for wanted, want := range map[string]string{"": "No receiver audio", "gone": ""} {
		p, _ := shown(t, audio.NewReceiver(&player{}, wanted), fyne.NewSize(410, 600))
		if p.Show(p.now); want != "" && p.device.ControlWords() != want ||
			!strings.Contains(p.plot.none.ControlWords(), "Set-up") {
			t.Errorf("%q: %q, %q", wanted, p.device.ControlWords(), p.plot.none.ControlWords())
		}
	}
}

func BenchmarkShow(b *testing.B) { // a tick with a row of an eighth of a second, drawn
	app := test.NewTempApp(b)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	r := audio.NewReceiver(&player{}, "")
	p := New(widget.Context{}, r, view.AudioScale{PitchHz: 1500})
	row := spectrum.Row{Over: make([]float32, p.rows.Bins())}
	p.mean = row.Over
	p.plot.fall.resize(330, 320, columnsFor(330, p.rows.View(), p.rows.FirstHz(), p.rows.BinHz(), p.rows.Bins()))
	for b.Loop() {
		p.plot.fall.add([]spectrum.Row{row}, 20)
		p.plot.drawLine(330, 110)
	}
}
