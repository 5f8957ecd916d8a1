package commissioning

import (
	"image"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/commission"
	"beamhelm/app/desk"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/settings"
	"beamhelm/app/view"
)

// bench is a desk that does what the commissioning says, and keeps the rest.
type bench struct {
	view.Desk
	state commission.State
	now   commission.Now
	c     commission.Config
	begun bool
	asked []desk.Order
}

func (b *bench) Ask(o desk.Order) {
	b.asked = append(b.asked, o)
	if o, ok := o.(desk.Commission); ok {
		b.state.Do(&b.c, &b.now, o.Act)
		b.begun = true
	}
}

type rig struct {
	*Pane
	*bench
	t       *testing.T
	settled []commission.Suggestion
}

func newRig(t *testing.T) *rig {
	t.Helper()
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	w := test.NewTempWindow(t, widget.NewLabel(""))
	b := &bench{c: commission.Config{Settings: settings.Practice()}}
	b.now.At, b.now.Good, b.now.Fresh = stage.Tracking().At, true, true
	for i := range b.now.Axes {
		b.now.Axes[i].Fitted = true
	}
	r := &rig{bench: b, t: t}
	open := widget.NewOpen(w.Canvas(), func() float32 { return 0 })
	r.Pane = New(widget.Context{Desk: b, Open: open}, func(list []commission.Suggestion) { r.settled = list })
	w.SetContent(container.NewStack(r.Object(), open.Object()))
	w.Resize(fyne.NewSize(432, 640))
	r.look()
	return r
}

func (r *rig) look() {
	status := stage.Tracking()
	status.Power = desk.PowerOn
	if r.begun {
		kept := r.state
		now := r.bench.now
		status.Commissioning = &desk.Commissioning{State: &kept, Config: &r.c, Now: &now}
	}
	now := view.At(&status, 10, 0)
	now.Live = true
	r.Show(now)
}

func (r *rig) click(b *widget.Button) {
	r.t.Helper()
	if b.Disabled() {
		r.t.Fatalf("%s is disabled", b.ControlName())
	}
	b.Tapped(nil)
	r.look()
}

// Through every step: no words are cut, the next one is offered, and what was skipped is told.
func TestEveryStep(t *testing.T) {
	r := newRig(t)
	r.click(r.done)
	if r.choose.ControlWords() != "0 Before anything moves ▾" {
		t.Fatalf("first: %s", r.choose.ControlWords())
	}
	r.click(r.done)
	if !strings.Contains(r.told.ControlWords(), "People") {
		t.Errorf("not refused: %q", r.told.ControlWords())
	}
	for i := range commission.CautionList() {
		r.act(commission.Act{Kind: commission.Agree, Index: i, Yes: true})
		r.look()
	}
	r.click(r.done)
	for step := commission.Link; step < commission.Report; step++ {
		if r.step != step {
			t.Fatalf("at %s, want %s", r.step, step)
		}
		r.uncut(step)
		r.click(r.leave)
		r.with.Open.Close()
		r.act(commission.Act{Kind: commission.Refuse, Step: step, Words: "not today"})
		r.look()
		if r.leave.ControlWords() != "Open it again" {
			t.Errorf("%s: %s", step, r.leave.ControlWords())
		}
		r.click(r.done)
	}
	r.uncut(commission.Report)
	if r.count.ControlWords() != "1 of 11 done, 9 skipped" {
		t.Errorf("count: %s", r.count.ControlWords())
	}
	r.openAnew()
	r.with.Open.Close()
	r.click(r.leave) // the report's step again
	r.openLeave()
	r.with.Open.Close()
	picture := sheet(r.Pane.now.Commissioning)
	if b := picture.Bounds(); b.Dx() < 400 || b.Dy() < 600 || plain(picture) {
		t.Errorf("the report's picture is %v", picture.Bounds())
	}
}

// plain says that a picture has but one colour.
func plain(p image.Image) bool {
	b := p.Bounds()
	for x := b.Min.X; x < b.Max.X; x++ {
		for y := b.Min.Y; y < b.Max.Y; y++ {
			if p.At(x, y) != p.At(b.Min.X, b.Min.Y) {
				return false
			}
		}
	}
	return true
}

// uncut fails where words of a step did not have room.
func (r *rig) uncut(step commission.Step) {
	r.t.Helper()
	var walk func(o fyne.CanvasObject)
	walk = func(o fyne.CanvasObject) {
		switch x := o.(type) {
		case *widget.Text:
			if x.Visible() && x.Cut() {
				r.t.Errorf("%s: %q is cut", step, x.ControlWords())
			}
		case *widget.Button:
			if x.Visible() && x.Cut() {
				r.t.Errorf("%s: button %q is cut", step, x.ControlWords())
			}
		case *widget.Press:
			if x.Visible() && x.Cut() {
				r.t.Errorf("%s: button %q is cut", step, x.ControlWords())
			}
		case *fyne.Container:
			for _, part := range x.Objects {
				walk(part)
			}
		case *container.Scroll:
			walk(x.Content)
		}
	}
	walk(r.Object())
}

// A push lasts as long as its button is held and cleared: a tap, the pointer
// leaving and another drive end it.
func TestPushesAreHeld(t *testing.T) {
	r := newRig(t)
	r.click(r.done)
	for i := range commission.CautionList() {
		r.act(commission.Act{Kind: commission.Agree, Index: i, Yes: true})
	}
	r.act(commission.Act{Kind: commission.Finish, Step: commission.Cautions})
	r.look()
	r.goTo(commission.Motors)
	button := r.pushes.hold[0][1]
	pushed := func() (n int) {
		for _, o := range r.asked {
			if _, push := o.(desk.Push); push {
				n++
			}
		}
		return n
	}
	button.MouseDown(nil)
	button.MouseUp(nil)
	if n := pushed(); n != 0 {
		t.Errorf("a tap pushed %d times", n)
	}
	for name, end := range map[string]func(){
		"let go": func() { button.MouseUp(nil) }, "pointer leaves": button.MouseOut, "focus lost": button.FocusLost,
		"another drive": func() { r.pushes.choose(1) }, "disabled": button.Disable,
	} {
		synctest.Test(t, func(t *testing.T) {
			button.Enable()
			before := pushed()
			button.MouseDown(nil)
			time.Sleep(time.Second)
			synctest.Wait()
			if n := pushed() - before; n != 7 { // at 350, 450 ... 950 ms
				t.Errorf("%s: pushed %d times in a second", name, n)
			}
			end()
			before = pushed()
			time.Sleep(time.Second)
			synctest.Wait()
			if n := pushed(); n != before {
				t.Errorf("%s: it pushes on", name)
			}
		})
	}
	if last := r.asked[len(r.asked)-1].(desk.Push); last.Az <= 0 || last.Az > 1 || last.El != 0 {
		t.Errorf("pushed %+v", last)
	}
}
