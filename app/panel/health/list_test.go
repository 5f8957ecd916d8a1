package health

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/app/message"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// shown is the pane in a window, with the readings of the invented evening changed.
type shown struct {
	*Pane
	t      *testing.T
	status desk.Status
	open   *widget.Open
	trends []string
}

func show(t *testing.T, change func(*desk.Status)) *shown {
	t.Helper()
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	w := test.NewTempWindow(t, nil)
	s := &shown{t: t, status: stage.Tracking(), open: widget.NewOpen(w.Canvas(), func() float32 { return 0 })}
	s.Pane = New(widget.Context{Open: s.open})
	s.OnTrend(func(key string) { s.trends = append(s.trends, key) })
	w.SetContent(widget.Column(0, widget.Sharing(s.Object()), widget.Fixed(s.open.Object())))
	w.Resize(fyne.NewSize(440, 640))
	s.pass(change)
	return s
}

// pass lets a tick pass.
func (s *shown) pass(change func(*desk.Status)) {
	if change != nil {
		change(&s.status)
	}
	now := view.At(&s.status, 10, 0)
	s.Watch(now)
	s.Show(now)
	s.open.Show(now)
}

func (s *shown) names() (names []string) {
	for _, l := range s.lines {
		if l.row != nil {
			names = append(names, l.row.line.Name)
		} else {
			names = append(names, "# "+s.groups[l.group].name)
		}
	}
	return names
}

func (s *shown) index(name string) int {
	for i, n := range s.names() {
		if n == name {
			return i
		}
	}
	s.t.Fatalf("no line %q among %q", name, s.names())
	return -1
}

func (s *shown) tap(name string) {
	l := s.lines[s.index(name)]
	s.list.Tapped(&fyne.PointEvent{Position: fyne.NewPos(5, l.top+l.height/2)})
}

func (s *shown) words() string {
	var all []string
	for _, placed := range widget.Inventory(s.open.Object()) {
		all = append(all, placed.Words)
	}
	return strings.Join(all, "|")
}

func grade(s *desk.Status, name string, g desk.Grade, crossed string) {
	for i := range s.Readings {
		if s.Readings[i].Name == name {
			s.Readings[i].Grade, s.Readings[i].Crossed = g, message.Text(crossed)
			s.Readings[i].Next = message.Text("Look at the charger.")
		}
	}
}

// What is out of its limits stands first, the worst before the others, and nowhere else; then it goes back.
func TestWhatIsOutOfItsLimitsStandsFirst(t *testing.T) {
	s := show(t, func(d *desk.Status) {
		for i := range d.Readings {
			d.Readings[i].Grade, d.Readings[i].Crossed = desk.Normal, message.Text("")
		}
	})
	if first := s.names()[0]; first != "# Drives" {
		t.Errorf("all is normal: first stands %s", first)
	}
	before := len(s.names())
	s.pass(func(d *desk.Status) {
		grade(d, "Drive supply", desk.Warning, "limit 22.0")
		grade(d, "Battery", desk.AlarmGrade, "limit 11.5")
	})
	names := s.names()
	if names[0] != "# "+view.OutOfLimits || names[1] != "Battery" || names[2] != "Drive supply" ||
		len(names) != before+1 {
		t.Errorf("first stand %q, %d lines after %d", names[:3], len(names), before)
	}
	s.pass(func(d *desk.Status) {
		grade(d, "Drive supply", desk.Normal, "")
		grade(d, "Battery", desk.Normal, "")
	})
	if s.names()[0] != "# Drives" || len(s.names()) != before {
		t.Errorf("normal again: %q", s.names()[:3])
	}
}

// The limit that is crossed is seen whole beside the scale, however narrow the pane is.
func TestCrossedLimitIsWhole(t *testing.T) {
	s := show(t, func(d *desk.Status) { grade(d, "Battery", desk.AlarmGrade, "limit 1045.0") })
	for _, width := range []float32{minWidth, 412, 560} {
		s.object.Resize(fyne.NewSize(width, 640))
		r := s.lines[1].row
		if r.line.Name != "Battery" {
			t.Fatalf("the first is %q", r.line.Name)
		}
		words, scale := r.crossed, r.band
		if end := words.Position().X + words.Size().Width; words.Size().Width < words.WholeWidth() ||
			end > scale.Position().X || scale.Size().Width < minScale-1 ||
			scale.Position().X+scale.Size().Width > width {
			t.Errorf("%v wide: %q is %v wide and needs %v; it ends at %v, the scale of %v begins at %v", width,
				words.ControlWords(), words.Size().Width, words.WholeWidth(), end, scale.Size().Width,
				scale.Position().X)
		}
	}
}

// That a reading has no figure any more is seen whole, however narrow the pane is.
func TestNoReadingIsWhole(t *testing.T) {
	s := show(t, nil)
	for _, width := range []float32{minWidth, 412, 560} {
		s.object.Resize(fyne.NewSize(width, 640))
		for _, lost := range []bool{true, false, true} {
			s.pass(func(d *desk.Status) {
				for i := range d.Readings {
					if d.Readings[i].Name == "Battery" {
						d.Readings[i].Lost = lost
					}
				}
			})
			words := s.lines[s.index("Battery")].row.figure
			if (words.ControlWords() == "no reading") != lost || words.Size().Width < words.WholeWidth() {
				t.Errorf("%v wide: %q is %v wide and needs %v", width, words.ControlWords(), words.Size().Width,
					words.WholeWidth())
			}
		}
	}
}

// A click on a reading opens it: figure, limits, what to do, and the way to its records.
func TestAReadingOpens(t *testing.T) {
	s := show(t, func(d *desk.Status) {
		grade(d, "Battery", desk.AlarmGrade, "limit 11.5")
		for i := range d.Readings {
			if d.Readings[i].Name == "Battery" {
				d.Readings[i].Key, d.Readings[i].AlarmLow, d.Readings[i].AlarmHigh = "battery_v", 11.5, math.NaN()
			}
		}
	})
	s.tap("Battery")
	for _, want := range []string{"Alarm: limit 11.5", " V|"} {
		if words := s.words() + "|"; !strings.Contains(words, want) {
			t.Errorf("it says %q, not %q", words, want)
		}
	}
	texts := ""
	widget.Walk(s.open.Object(), func(o fyne.CanvasObject) {
		if text, is := o.(*widget.Text); is {
			texts += text.ControlWords() + "|"
		}
	})
	for _, want := range []string{"Battery", "Look at the charger.", "Alarm below", "11.5 V"} {
		if !strings.Contains(texts, want) {
			t.Errorf("%q is not among %q", want, texts)
		}
	}
	if strings.Contains(texts, "Alarm above") {
		t.Error("a limit that is not there is shown")
	}
	pressed := false
	for _, placed := range widget.Inventory(s.open.Object()) {
		if placed.Name == "reading-records" {
			placed.Object.(fyne.Tappable).Tapped(&fyne.PointEvent{})
			pressed = true
		}
	}
	if !pressed || len(s.trends) != 1 || s.trends[0] != "battery_v" || s.open.Covers() {
		t.Errorf("Show in Records: %v, open %v", s.trends, s.open.Covers())
	}
}

// A heading folds its group; what goes out of its limits is seen all the same. Keys do the same.
func TestGroupsFold(t *testing.T) {
	s := show(t, nil)
	before := len(s.names())
	s.tap("# Weather")
	if got := len(s.names()); got != before-4 {
		t.Errorf("%d lines, want %d", got, before-4)
	}
	s.pass(func(d *desk.Status) { grade(d, "Wind gust", desk.Warning, "limit 15.0") })
	if i := s.index("Wind gust"); s.names()[i-1] == "# Weather" {
		t.Errorf("it stands in the folded group: %q", s.names())
	}
	s.list.marked = s.index("# Weather")
	s.list.TypedKey(&fyne.KeyEvent{Name: fyne.KeyRight})
	if got := len(s.names()); s.index("Wind direction") < 0 || got < before {
		t.Errorf("unfolded by key: %q", s.names())
	}
	s.list.TypedKey(&fyne.KeyEvent{Name: fyne.KeyRight}) // it stays unfolded
	s.index("Wind direction")
	s.list.TypedKey(&fyne.KeyEvent{Name: fyne.KeyDown})
	s.list.KeyDown(&fyne.KeyEvent{Name: fyne.KeyReturn})
	s.list.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	if !s.open.Covers() {
		t.Error("Enter opens nothing")
	}
}

// shelf answers with one extent for all, once it may, and keeps what it was asked.
type shelf struct {
	may   chan struct{}
	asked []time.Duration
	err   error
}

func (s *shelf) Trends(_ context.Context, keys []string, from, to time.Time, columns int) ([]journal.Trend, error) {
	<-s.may
	s.asked = append(s.asked, to.Sub(from))
	if to.Sub(from) > 24*time.Hour {
		return []journal.Trend{{Key: keys[0]}}, s.err // nothing of so long ago
	}
	if columns < 49 {
		s.err = errors.New("a day is made of hours, without the beginning of its first")
	}
	return []journal.Trend{{Key: keys[0], Points: []journal.Point{
		{Min: 27.1, Mean: 27.5, Max: 28, Recorded: 22000 * time.Second},
		{Min: 27.2, Mean: 16, Max: 27.6, Recorded: 200 * time.Second}}}}, s.err
}

// A reading within its limits has its past too: between what it lay, what is usual of it, and what to do if it leaves
// them.
func TestAReadingWithinItsLimitsHasAPast(t *testing.T) {
	s := show(t, func(d *desk.Status) {
		d.Practice = false
		for i := range d.Readings {
			r := &d.Readings[i]
			r.Grade, r.Next, r.Crossed = desk.Normal, message.Message{}, message.Message{}
			if r.Name == "Drive supply" {
				r.Key, r.WarnLow, r.WarnHigh = "drive_supply_v", 22, 30
				r.IfBelow, r.IfAbove = message.Text("Charge it."), message.Text("Look at the charger.")
				d.Check.Baselines = []desk.Baseline{{Reading: i, Words: message.Text("Drive supply sag 0.4 V")},
					{Reading: i + 1, Words: message.Text("another one's")}}
			}
		}
	})
	records := &shelf{}
	s.LookBackInto(records)
	// The answer comes when the sheet is open: the test driver, unlike a real one, would show it beside the opening.
	look := func() {
		synctest.Test(t, func(*testing.T) {
			records.may = make(chan struct{})
			s.tap("Drive supply")
			close(records.may)
			synctest.Wait()
		})
	}
	look()
	told := s.texts()
	for _, want := range []string{"Within its limits", "Warning below", "22.0 V", "If below", "Charge it.", "If above",
		"Look at the charger.",
		"Drive supply sag 0.4 V", "27.1 to 28.0 V, mean 27.4|",
		"27.1 to 28.0 V, mean 27.4; recorded 6 h 10 min|", "Last 30 days", "not recorded"} {
		if !strings.Contains(told, want) {
			t.Errorf("%q is not among %q", want, told)
		}
	}
	if strings.Contains(told, "another one's") {
		t.Error("the baseline of another reading is told")
	}
	if len(records.asked) != len(view.PastTimes()) || records.asked[0] != time.Hour {
		t.Errorf("asked for %v", records.asked)
	}
	s.open.Close()
	records.err = errors.New("the disk is gone")
	look()
	if told := s.texts(); !strings.Contains(told, "can't look back now: the disk is gone") ||
		strings.Contains(told, "27.1 to") {
		t.Errorf("without a disk: %q", told)
	}
}

// texts are all that is written in what is open.
func (s *shown) texts() (texts string) {
	widget.Walk(s.open.Object(), func(o fyne.CanvasObject) {
		if w, is := o.(interface{ ControlWords() string }); is {
			texts += w.ControlWords() + "|"
		}
	})
	return texts
}

// The ticks of the limits are on the bar, also of one that is broken.
func TestTicksOfTheLimits(t *testing.T) {
	p := widget.Dusk()
	scale := view.NoScale()
	scale.At, scale.Limits[0], scale.Limits[2] = 0.02, 0.25, 0.75
	picture := drawBand(scale, p, p.Alarm, 100, 12)
	for x, want := range map[int]bool{25: true, 75: true, 50: false, 60: false} {
		if got := picture.At(x, 2) == p.Dim; got != want {
			t.Errorf("tick at %d: %v, want %v", x, got, want)
		}
	}
	if picture.At(25, 0) != p.Dim || picture.At(75, 0) == p.Dim {
		t.Error("the tick of an alarm reaches over the whole height, that of a warning doesn't")
	}
}

// What marks the line with the keyboard crosses no words: a bar beside them, and a shade without an outline.
func TestTheMarkCrossesNoWords(t *testing.T) {
	s := show(t, nil)
	s.list.Focus()
	s.list.Refresh()
	if s.list.bar.FillColor != widget.Current().Focus || s.list.bar.Position().Y < 0 {
		t.Errorf("the bar is %v at %v", s.list.bar.FillColor, s.list.bar.Position())
	}
	if s.list.bar.StrokeWidth != 0 || s.list.shade.StrokeWidth != 0 {
		t.Error("an outline crosses the words")
	}
	end, texts := s.list.bar.Position().X+s.list.bar.Size().Width, 0
	at := fyne.CurrentApp().Driver().AbsolutePositionForObject
	if at(s.list) != at(s.still) || s.lying.Position() != (fyne.Position{}) {
		t.Fatal("list and words do not begin at the same place")
	}
	widget.Walk(s.lying, func(o fyne.CanvasObject) {
		if text, is := o.(*widget.Text); is && text.Position().Y >= 0 {
			texts++
			if text.Position().X < end {
				t.Errorf("%q begins at %v, the bar ends at %v", text.ControlWords(), text.Position().X, end)
			}
		}
	})
	if texts < 10 {
		t.Errorf("%d texts", texts)
	}
}
