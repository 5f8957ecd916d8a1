package health

import (
	"image/color"
	"math"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/desk"
	"beamhelm/app/message"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// With practice time 60 times as fast a value comes every six seconds of the sky: together they are one trace, and
// where none came for real seconds there is a gap.
func TestFastTimeMakesOneTrace(t *testing.T) {
	var h history
	start := time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	for _, seconds := range []int{0, 6, 12, 66, 200, 206} {
		h.add(start.Add(time.Duration(seconds)*time.Second), float64(seconds), 60)
	}
	for back, want := range map[int]bool{
		0: true, 1: true, 2: false, 20: false, 27: false, 28: true, 33: true, 41: true,
	} {
		if low, _ := h.at(back); (low == low) != want {
			t.Errorf("%d columns ago: %v, want a value: %v", back, low, want)
		}
	}
}

func TestHistory(t *testing.T) {
	start := stage.Evening().Truncate(columnTime)
	h := &history{}
	if _, _, ok := h.bounds(); ok {
		t.Error("an empty history has bounds")
	}
	if !h.add(start, 5, 1) || h.add(start.Add(time.Second), 7, 1) || h.add(start.Add(2*time.Second), 6, 1) {
		t.Error("a column begins with its first value alone")
	}
	if minimum, maximum := h.at(0); minimum != 5 || maximum != 7 {
		t.Errorf("the column goes from %v to %v, want 5 to 7", minimum, maximum)
	}
	if !h.add(start.Add(3*columnTime), 2, 1) {
		t.Error("no new column began")
	}
	if minimum, _ := h.at(1); minimum == minimum {
		t.Errorf("a column without a value has %v", minimum)
	}
	if minimum, maximum, ok := h.bounds(); !ok || minimum != 2 || maximum != 7 {
		t.Errorf("bounds %v to %v", minimum, maximum)
	}
	h.add(start.Add(3*columnTime+columnCount*columnTime), 9, 1)
	if minimum, maximum, _ := h.bounds(); minimum != 9 || maximum != 9 {
		t.Errorf("after ten minutes of nothing the bounds are %v to %v, want 9 alone", minimum, maximum)
	}
	h.add(start, 1, 1)
	if minimum, maximum, _ := h.bounds(); minimum != 1 || maximum != 1 {
		t.Errorf("after the clock was set back the bounds are %v to %v, want 1 alone", minimum, maximum)
	}
}

func TestHistoryIsTenMinutes(t *testing.T) {
	if whole := columnTime * columnCount; whole != 10*time.Minute {
		t.Errorf("a sparkline covers %v", whole)
	}
}

func TestTrace(t *testing.T) {
	p := widget.Dusk()
	h := &history{}
	at := stage.Evening()
	for i := range 60 {
		h.add(at.Add(time.Duration(i)*columnTime), float64(i%2), 1)
	}
	inked := func(scale float64) (top, bottom int) {
		picture := drawTrace(h, scale, p.Measured, 80, 20)
		top, bottom = 20, -1
		for y := range 20 {
			for x := range 80 {
				if _, _, _, a := picture.At(x, y).RGBA(); a > 0x4000 {
					top, bottom = min(top, y), max(bottom, y)
				}
			}
		}
		return top, bottom
	}
	if top, bottom := inked(1); top > 2 || bottom < 17 {
		t.Errorf("what goes over the whole scale is drawn from %d to %d of 20", top, bottom)
	}
	if top, bottom := inked(1000); bottom-top > 4 {
		t.Errorf("what varies by a thousandth of the scale is drawn from %d to %d of 20", top, bottom)
	}
}

func TestBandStandsWhereTheReadingDoes(t *testing.T) {
	p := widget.Dusk()
	picture := drawBand(view.Scale{From: 0.25, To: 0.75, At: 0.5}, p, p.Measured, 100, 12)
	if got := picture.At(50, 6); got != p.Measured {
		t.Errorf("in the middle is %v, want the mark", got)
	}
	if got := picture.At(30, 6); got != p.Mark {
		t.Errorf("in the band is %v", got)
	}
	if got := picture.At(10, 6); got != p.Raised {
		t.Errorf("outside the band is %v", got)
	}
	drawBand(view.Scale{To: 1, At: math.NaN()}, p, p.Measured, 100, 12) // unknown: no mark, no panic
}

func TestPaneShowsEveryReading(t *testing.T) {
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	p := New(widget.Context{})
	w := test.NewTempWindow(t, p.Object())
	status := stage.Tracking()
	now := view.At(&status, 10, 0)
	p.Watch(now)
	p.Show(now)
	if p.Grade() != desk.Warning {
		t.Errorf("grade %d, want a warning", p.Grade())
	}
	for _, height := range []float32{540, 612, 760, 1000} {
		w.Resize(fyne.NewSize(440, height))
		bottom, rows := float32(0), 0
		for _, g := range p.groups {
			for _, r := range g.rows {
				rows++
				if y := r.name.Position().Y; y < bottom-0.5 {
					t.Errorf("%v high: %s at %v overlaps what is above", height, r.line.Name, y)
				}
				bottom = r.name.Position().Y + r.name.Size().Height
				if r.name.Cut() {
					t.Errorf("%v high: the name %s is cut", height, r.line.Name)
				}
			}
		}
		last := p.states[len(p.states)-1].name
		if end := last.Position().Y + last.Size().Height; end > height {
			t.Errorf("%v high: the last line ends at %v", height, end)
		}
		if rows != 28 {
			t.Errorf("%d rows, want every reading that is fitted: 28", rows)
		}
	}
}

// The sequencer's time line: receiving is low, transmitting high and white, a fault in the colour of alarms.
func TestStates(t *testing.T) {
	p := widget.Dusk()
	h := &history{}
	at := stage.Evening().Truncate(columnTime)
	for i := range columnCount {
		state := 0.0
		switch {
		case i >= 40 && i < 80:
			state = 2
		case i == 100:
			state = 4
		}
		h.add(at.Add(time.Duration(i)*columnTime), state, 1)
	}
	picture := drawStates(h, p, 240, 20)
	for _, c := range []struct {
		x, y int
		want color.NRGBA
	}{{10, 18, p.Mark}, {10, 10, color.NRGBA{}}, {120, 2, p.Measured}, {120, 18, p.Measured}, {201, 2, p.Alarm},
		{220, 2, color.NRGBA{}}} {
		if got := picture.At(c.x, c.y); got != c.want {
			t.Errorf("at %d, %d: %v, want %v", c.x, c.y, got, c.want)
		}
	}
}

// The line under the readings, and the sheet with what was looked at.
func TestCheckIsShown(t *testing.T) {
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	w := test.NewTempWindow(t, widget.NewLabel(""))
	open := widget.NewOpen(w.Canvas(), func() float32 { return 0 })
	asked := &orders{}
	p := New(widget.Context{Desk: asked, Open: open})
	w.SetContent(container.NewStack(p.Object(), open.Object()))
	w.Resize(fyne.NewSize(1300, 760))
	status := stage.Tracking()
	status.Check = desk.Check{
		Last: &desk.CheckResult{At: status.At.Add(-time.Hour),
			Verdict: message.Text("One thing wants looking at: Elevation"),
			Grade:   desk.Warning, Lines: []desk.CheckLine{{What: "Elevation",
				Words: message.Text("fast up: 3.4 A, usually 2.1 A"),
				Grade: desk.Warning}}},
		Unusual: []desk.Unusual{{Key: "slow x", Words: message.Text("Elevation motor current 3.4 A; baseline 2.1 A")}},
		Cable:   []desk.CableCount{{Band: "1296 MHz", KeyedS: 120, KeyedErrors: 6, QuietS: 600}},
	}
	p.Watch(view.At(&status, 10, 0))
	if got := p.check.verdict.ControlWords(); got != "Elevation motor current 3.4 A; baseline 2.1 A" {
		t.Errorf("verdict %q", got)
	}
	p.check.show()
	words := strings.Join(textsOf(p.check.sheet.body), "|")
	for _, want := range []string{"One thing wants looking at", "fast up: 3.4 A", "Set as baseline",
		"replies: 3.00 transmitting, 0.00 otherwise"} {
		if !strings.Contains(words, want) {
			t.Errorf("%q is not in %s", want, words)
		}
	}
	p.check.sheet.short.Tapped(nil)
	if len(asked.all) != 1 || asked.all[0] != (desk.CheckDish{}) {
		t.Errorf("asked %+v", asked.all)
	}
}

// orders is a desk that notes what it is asked.
type orders struct {
	view.Desk
	all []desk.Order
}

func (o *orders) Ask(order desk.Order) { o.all = append(o.all, order) }

// textsOf are the words of all controls in a container.
func textsOf(in *fyne.Container) (words []string) {
	for _, object := range in.Objects {
		switch o := object.(type) {
		case *fyne.Container:
			words = append(words, textsOf(o)...)
		case interface{ ControlWords() string }:
			words = append(words, o.ControlWords())
		}
	}
	return words
}

// A clock before 1970, or after 2262 where nanoseconds since then don't fit any more, is a time like any other.
func TestHistoryAtAnyTime(t *testing.T) {
	for _, year := range []int{1, 1677, 1901, 1969, 1970, 2027, 2262, 2263, 9999} {
		var h history
		at := time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC)
		for i := range 200 {
			h.add(at.Add(time.Duration(i)*columnTime), float64(i), 1)
		}
		if low, high, ok := h.bounds(); !ok || low != 80 || high != 199 {
			t.Errorf("%d: %v to %v, %v", year, low, high, ok)
		}
		if low, _ := h.at(1); low != 198 {
			t.Errorf("%d: the column before the newest has %v", year, low)
		}
	}
}

// Words that become longer get their room, without a change of the window.
func TestLongerWordsGetTheirRoom(t *testing.T) {
	s := show(t, func(s *desk.Status) { s.MotorStartsPerHour = [2]float64{0, 0} })
	s.pass(func(s *desk.Status) { s.MotorStartsPerHour = [2]float64{139, 122} })
	seen := false
	for _, state := range s.states {
		seen = seen || state.words.ControlWords() == "139, 122"
		if room, needs := state.words.Size().Width, state.words.WholeWidth(); room < needs {
			t.Errorf("%s: %q has a room of %v, it needs %v", state.name.ControlWords(),
				state.words.ControlWords(), room, needs)
		}
	}
	if !seen {
		t.Error("no motor starts are shown")
	}
}
