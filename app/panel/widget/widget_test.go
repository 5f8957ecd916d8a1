package widget

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/view"
)

// window returns a test window with content, and the keys that reach its own handler.
func window(t *testing.T, content fyne.CanvasObject) (fyne.Window, *[]fyne.KeyName) {
	t.Helper()
	app := test.NewTempApp(t)
	app.Settings().SetTheme(NewTheme(Dusk()))
	w := test.NewTempWindow(t, content)
	w.Resize(fyne.NewSize(600, 400))
	keys := &[]fyne.KeyName{}
	w.Canvas().SetOnTypedKey(func(event *fyne.KeyEvent) { *keys = append(*keys, event.Name) })
	return w, keys
}

func TestEscapeReachesTheWindow(t *testing.T) {
	button := NewButton("Go", "go", "", nil)
	arrow := NewArrow(Upwards, "up", "", func() {}, func() {})
	entry := NewEntry("line", "")
	w, keys := window(t, Column(4, Fixed(button), Fixed(arrow), Fixed(entry)))
	for _, focused := range []fyne.Focusable{button, arrow, entry} {
		*keys = nil
		w.Canvas().Focus(focused)
		focused.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
		if len(*keys) != 1 || (*keys)[0] != fyne.KeyEscape {
			t.Errorf("%T: the window saw %v, want Esc", focused, *keys)
		}
	}
}

func TestEntryHandsShortcutsOn(t *testing.T) {
	entry := NewEntry("line", "")
	w, _ := window(t, entry)
	stopped := false
	w.Canvas().AddShortcut(&desktop.CustomShortcut{KeyName: fyne.KeyPeriod, Modifier: fyne.KeyModifierControl},
		func(fyne.Shortcut) { stopped = true })
	w.Canvas().Focus(entry)
	entry.TypedShortcut(&desktop.CustomShortcut{KeyName: fyne.KeyPeriod, Modifier: fyne.KeyModifierControl})
	if !stopped {
		t.Error("the shortcut did not reach the window")
	}
}

func TestButton(t *testing.T) {
	pressed := 0
	button := NewButton("Go", "go", "", func() { pressed++ })
	w, keys := window(t, button)
	w.Canvas().Focus(button)
	for _, key := range []fyne.KeyName{fyne.KeySpace, fyne.KeyReturn, fyne.KeyEnter} {
		button.KeyDown(&fyne.KeyEvent{Name: key})
		for range 5 { // it repeats while it is held
			button.TypedKey(&fyne.KeyEvent{Name: key})
		}
		button.KeyUp(&fyne.KeyEvent{Name: key})
	}
	// A key that went down elsewhere, in a dialog just closed, is not for the button.
	button.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	test.Tap(button)
	if pressed != 4 || len(*keys) != 0 {
		t.Errorf("pressed %d times and handed on %v, want 4 times and nothing", pressed, *keys)
	}
	button.Disable()
	test.Tap(button)
	button.KeyDown(&fyne.KeyEvent{Name: fyne.KeySpace})
	button.TypedKey(&fyne.KeyEvent{Name: fyne.KeySpace})
	if pressed != 4 {
		t.Error("a disabled button acts")
	}
}

func TestArrowEndsWithTheFocus(t *testing.T) {
	arrow := NewArrow(Leftwards, "left", "", func() { t.Error("a press that lost the focus is no tap") }, func() {})
	other := NewButton("Go", "go", "", nil)
	w, _ := window(t, Column(4, Fixed(arrow), Fixed(other)))
	arrow.MouseDown(&desktop.MouseEvent{})
	if !arrow.Pressed() || !arrow.Focused() {
		t.Fatal("a press takes the focus and lasts")
	}
	w.Canvas().Focus(other)
	if arrow.Pressed() {
		t.Error("the press outlasts the focus")
	}
	arrow.MouseUp(&desktop.MouseEvent{})
}

func TestHandAsksWithItsSign(t *testing.T) {
	rows := []struct {
		heading Heading
		az, el  float64
	}{{Upwards, 0, 0.5}, {Downwards, 0, -0.5}, {Leftwards, -0.5, 0}, {Rightwards, 0.5, 0}}
	for _, row := range rows {
		asked := &recorder{}
		hand := NewHand(asked)
		hand.SetStep(1)
		hand.Tap(row.heading)
		hand.Renew(row.heading)
		tap, jog := asked.orders[0].(desk.Nudge).By, asked.orders[1].(desk.Jog)
		if !near(tap.Cross.Deg(), row.az) || !near(tap.El.Deg(), row.el) {
			t.Errorf("heading %d: tap asks for %v %v, want %v %v", row.heading, tap.Cross.Deg(), tap.El.Deg(), row.az,
				row.el)
		}
		if jog != (desk.Jog{Az: row.az * 2, El: row.el * 2}) {
			t.Errorf("heading %d: jog asks for %v %v, want %v %v", row.heading, jog.Az, jog.El, row.az*2, row.el*2)
		}
	}
}

func near(a, b float64) bool { return a-b < 1e-9 && b-a < 1e-9 }

// recorder is a desk that keeps what it is asked.
type recorder struct {
	view.Desk
	orders []desk.Order
}

func (r *recorder) Ask(order desk.Order) { r.orders = append(r.orders, order) }

func TestShares(t *testing.T) {
	box := func(width float32) fyne.CanvasObject {
		r := canvas.NewRectangle(nil)
		r.SetMinSize(fyne.NewSize(width, 10))
		return r
	}
	rows := []struct {
		name  string
		room  float32
		parts []Part
		want  []float32
	}{
		{"fixed keep their least", 100, []Part{Fixed(box(30)), Fixed(box(20))}, []float32{30, 20}},
		{"the room that is left is shared", 110, []Part{Fixed(box(30)), Sharing(box(5)), {Object: box(5), Share: 3}},
			[]float32{30, 15, 45}},
		{"a share is never below its least", 110, []Part{Sharing(box(60)), Sharing(box(0))}, []float32{60, 40}},
		{"what is hidden takes no room", 100, []Part{Fixed(box(30)), Sharing(hidden(box(20))), Sharing(box(0))},
			[]float32{30, 0, 60}},
	}
	for _, row := range rows {
		const gap = 10
		c := Row(gap, row.parts...)
		c.Resize(fyne.NewSize(row.room, 10))
		for i, part := range row.parts {
			if part.Object.Visible() && part.Object.Size().Width != row.want[i] {
				t.Errorf("%s: part %d is %v wide, want %v", row.name, i, part.Object.Size().Width, row.want[i])
			}
		}
	}
}

func hidden(object fyne.CanvasObject) fyne.CanvasObject {
	object.Hide()
	return object
}

func TestTextKeepsItsRoom(t *testing.T) {
	figure := NewText("9.99°").Reserve("888.88°")
	window(t, figure)
	before := figure.MinSize()
	figure.SetWords("116.53°")
	if after := figure.MinSize(); after != before {
		t.Errorf("room of a figure went from %v to %v", before, after)
	}
	bold := NewText("116.53°").Bold()
	plain := NewText("116.53°")
	if bold.MinSize().Width != plain.MinSize().Width {
		t.Error("bold figures are wider than plain ones")
	}
}

func TestShorten(t *testing.T) {
	test.NewTempApp(t).Settings().SetTheme(NewTheme(Dusk()))
	style := fyne.TextStyle{}
	whole := "Preamp relay supply"
	if got := Shorten(whole, 400, 13, style); got != whole {
		t.Errorf("with room: %q", got)
	}
	short := Shorten(whole, 60, 13, style)
	if short == whole || fyne.MeasureText(short, 13, style).Width > 60 {
		t.Errorf("60 units wide: %q", short)
	}
}

func TestSheets(t *testing.T) {
	button := NewButton("Open", "open", "", nil)
	content := Column(4, Fixed(button))
	w, _ := window(t, content)
	open := NewOpen(w.Canvas(), func() float32 { return 50 })
	w.SetContent(container.NewWithoutLayout(content, open.Object()))
	open.Object().Resize(w.Canvas().Size())
	w.Canvas().Focus(button)

	first := NewButton("Close", "close", "", nil)
	closed := false
	sheet := open.ShowSheet("sheet", "Title", NewProse("Words"), []*Button{first}, first)
	sheet.OnClosed(func() { closed = true })
	if w.Canvas().Focused() != fyne.Focusable(first) {
		t.Error("the sheet did not give its first control the keyboard")
	}
	if bottom := sheet.Position().Y + sheet.Size().Height; bottom > w.Canvas().Size().Height-50 {
		t.Errorf("the sheet reaches down to %v, over the edge that is left free", bottom)
	}
	if !open.Close() || !closed || open.Covers() {
		t.Error("closing left something open")
	}
	if w.Canvas().Focused() != fyne.Focusable(button) {
		t.Error("the keyboard did not go back to what had it")
	}
}

func TestMenuWalksAndPicks(t *testing.T) {
	button := NewButton("Open", "open", "", nil)
	w, _ := window(t, button)
	open := NewOpen(w.Canvas(), func() float32 { return 0 })
	w.SetContent(container.NewWithoutLayout(button, open.Object()))
	open.Object().Resize(w.Canvas().Size())
	picked := ""
	items := []Item{}
	for _, name := range []string{"a", "b", "c"} {
		items = append(items, Item{Words: name, Name: name, Act: func() { picked = name }})
	}
	open.ShowItems("menu", button, items)
	// from Cancel to a, round to Cancel, c, then b
	for _, key := range []fyne.KeyName{fyne.KeyDown, fyne.KeyUp, fyne.KeyUp, fyne.KeyUp, fyne.KeyReturn} {
		w.Canvas().Focused().(desktop.Keyable).KeyDown(&fyne.KeyEvent{Name: key})
		w.Canvas().Focused().TypedKey(&fyne.KeyEvent{Name: key})
	}
	if picked != "b" || open.Covers() {
		t.Errorf("picked %q, still open %v", picked, open.Covers())
	}
}

func TestInventory(t *testing.T) {
	button := NewButton("Go", "go", "", nil).Looking(Chosen)
	gone := NewButton("Gone", "gone", "", nil)
	gone.Hide()
	w, _ := window(t, NewCard(Column(4, Fixed(button), Fixed(gone), Fixed(NewText("words").Named("text")))))
	found := map[string]Placed{}
	for _, placed := range Inventory(w.Content()) {
		found[placed.Name] = placed
	}
	if len(found) != 2 || !found["go"].On || found["go"].Words != "Go" || found["text"].Words != "words" {
		t.Errorf("found %+v", found)
	}
}

// Where a row has not got the room, its longest parts become shorter, and no others.
func TestARowIsSqueezed(t *testing.T) {
	parts := make([]Part, 4)
	for i, width := range []float32{30, 100, 60, 90} {
		parts[i] = Space(width)
	}
	row := Row(0, parts...)
	row.Resize(fyne.NewSize(210, 10)) // 70 too much
	for i, want := range []float32{30, 60, 60, 60} {
		if got := row.Objects[i].Size().Width; got < want-1 || got > want+1 {
			t.Errorf("part %d is %.1f wide, want %.1f", i, got, want)
		}
	}
	if capped := Capped(row, 50); capped.MinSize().Width != 50 {
		t.Errorf("asks for %v", capped.MinSize())
	}
}

// The choice among the steps stays while the beam changes with the band; those who show them are told once a change.
func TestStepsFollowTheBand(t *testing.T) {
	asked := &recorder{}
	hand, told := NewHand(asked), 0
	hand.OnStep(func() { told++ })
	hand.SetStep(1)
	for _, deg := range []float64{0.65, 0.65, 2.7, 0} {
		hand.SetBeam(unit.AngleFromDeg(deg))
	}
	if hand.Chosen() != 1 || hand.Step() != 1.35 || told != 3 {
		t.Errorf("step %d of %v, told %d times", hand.Chosen(), hand.Step(), told)
	}
	hand.Tap(Upwards)
	if got := asked.orders; len(got) != 1 || !near(got[0].(desk.Nudge).By.El.Deg(), 1.35) {
		t.Errorf("asks for %+v", got)
	}
}
