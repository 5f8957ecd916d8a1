package survey

import (
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/desk"
	"beamhelm/app/message"
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
	if got := p.change.ControlWords(); !strings.HasPrefix(got, "Applying it moves the axes here by +0.31°, −0.20°") {
		t.Errorf("change %q", got)
	}
	test.Tap(p.use)
	test.Tap(p.anew)
	if !layer.Covers() {
		t.Fatal("nothing is asked before the observations go")
	}
	if asked := d.Asked(); len(asked) != 1 || asked[0] != (desk.UseModel{}) {
		t.Errorf("asked %+v", asked)
	}
}

func TestAnObservationIsLeftOutAndTakenIn(t *testing.T) {
	p, d, _ := open(t, func(s *desk.Status) { s.Survey = stage.Surveyed() })
	items := p.items()
	if len(items) != maxListed {
		t.Fatalf("%d are listed", len(items))
	}
	// The newest stands first: number 8 is the spoilt one, number 13 is left out.
	items[21-8].Act()
	items[21-13].Act()
	want := []desk.Order{desk.Exclude{Index: 7, Out: true}, desk.Exclude{Index: 12}}
	got := d.Asked()
	if !slices.Equal(got, want) {
		t.Errorf("asked %+v", got)
	}
}

// A survey by itself is begun with the targets and hours that are chosen, and ended by the same button.
func TestRounds(t *testing.T) {
	p, d, layer := open(t, nil)
	test.Tap(p.rounds)
	press := func(name string) {
		t.Helper()
		found := false
		widget.Walk(layer.Object(), func(o fyne.CanvasObject) {
			if b, ok := o.(*widget.Button); ok && b.ControlName() == name {
				found = true
				test.Tap(b)
			}
		})
		if !found {
			t.Fatalf("there is no %s", name)
		}
	}
	press("round-Sun")
	press("round-hours-4")
	press("rounds-begin")
	asked := d.Asked()
	if len(asked) != 1 || asked[0] != (desk.SurveyTo{On: true, Targets: "Moon", Hours: 4}) {
		t.Fatalf("asked for %+v", asked)
	}
	if layer.Covers() {
		t.Error("the sheet stays open")
	}
	status := stage.Tracking()
	status.Survey.Rounds = desk.Rounds{Running: true, Doing: message.Text("peak on the Moon"), Taken: 3,
		Until: stage.Evening()}
	d.Set(status)
	p.Show(view.At(d.Status(), 0, 0))
	if words := p.next.ControlWords(); !strings.Contains(words, "peak on the Moon; 3 peaks so far") {
		t.Errorf("it says %q", words)
	}
	test.Tap(p.rounds)
	if asked := d.Asked(); len(asked) != 1 || asked[0] != (desk.SurveyTo{}) {
		t.Errorf("ending asks for %+v", asked)
	}
}

// What the charts of the survey draw, in each palette.
func TestChartPictures(t *testing.T) {
	p, _, _ := open(t, func(s *desk.Status) { s.Survey = stage.Surveyed() })
	for _, palette := range widget.Palettes() {
		fyne.CurrentApp().Settings().SetTheme(widget.NewTheme(palette))
		test.AssertImageMatches(t, "by-azimuth-"+palette.Name+".png", p.byAz.Draw(190, 100, 1))
		test.AssertImageMatches(t, "by-elevation-"+palette.Name+".png", p.byEl.Draw(190, 100, 1))
		test.AssertImageMatches(t, "sky-"+palette.Name+".png", p.sky.draw(380, 200))
	}
}
