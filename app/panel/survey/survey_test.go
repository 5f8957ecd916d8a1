package survey

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/desk"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

func open(t *testing.T, change func(*desk.Status)) (*Pane, *stage.Desk, *widget.Open) {
	t.Helper()
	test.NewTempApp(t)
	status := stage.Tracking()
	if change != nil {
		change(&status)
	}
	d := stage.New(status)
	w := test.NewTempWindow(t, nil)
	layer := widget.NewOpen(w.Canvas(), func() float32 { return 0 })
	p := New(widget.Context{Desk: d, Open: layer, Hand: widget.NewHand(d)})
	w.SetContent(container.NewStack(p.Object(), layer.Object()))
	w.Resize(fyne.NewSize(420, 560))
	p.Show(view.At(d.Status(), 0, 0))
	return p, d, layer
}

func TestWithoutObservations(t *testing.T) {
	p, d, _ := open(t, nil)
	for _, button := range []*widget.Button{p.use, p.back, p.observed, p.anew} {
		if !button.Disabled() {
			t.Errorf("%s can be pressed", button.ControlName())
		}
		test.Tap(button)
	}
	if p.head.ControlWords() != "No observations yet" || len(d.Asked()) != 0 {
		t.Errorf("%q, asked %v", p.head.ControlWords(), d.Asked())
	}
}

func TestWithAFit(t *testing.T) {
	p, d, layer := open(t, func(s *desk.Status) { s.Survey = stage.Surveyed() })
	if got := p.head.ControlWords(); got != "21 observations, 20 used" {
		t.Errorf("head %q", got)
	}
	if got := p.change.ControlWords(); !strings.HasPrefix(got, "Using it moves the axes here by +0.31°, −0.20°") {
		t.Errorf("change %q", got)
	}
	test.Tap(p.use)
	test.Tap(p.anew)
	if !layer.Covers() {
		t.Fatal("nothing is asked before the observations go")
	}
	if asked := d.Asked(); len(asked) != 1 || asked[0].Kind != desk.UseModel {
		t.Errorf("asked %+v", asked)
	}
}

func TestAnObservationIsLeftOutAndTakenIn(t *testing.T) {
	p, d, _ := open(t, func(s *desk.Status) { s.Survey = stage.Surveyed() })
	items := p.items()
	if len(items) != mostListed {
		t.Fatalf("%d are listed", len(items))
	}
	// The newest stands first: number 8 is the spoilt one, number 13 is left out.
	items[21-8].Act()
	items[21-13].Act()
	want := []desk.Order{{Kind: desk.Exclude, Index: 7, On: true}, {Kind: desk.Exclude, Index: 12}}
	got := d.Asked()
	if len(got) != 2 || got[0].Index != want[0].Index || !got[0].On || got[1].Index != want[1].Index || got[1].On {
		t.Errorf("asked %+v", got)
	}
}
