package plan

import (
	"os"
	"path/filepath"
	"testing"
	"testing/synctest"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/message"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// month is an invented plan: up for half of each day.
func month() *desk.Plan {
	p := &desk.Plan{Month: time.Date(2027, 4, 1, 0, 0, 0, 0, time.UTC), Days: 30, Target: "Moon",
		Of: desk.BodyChoice{Kind: desk.Moon, Name: "Moon"}}
	for i := range 30 * desk.PlanPointsADay {
		up := i%desk.PlanPointsADay > 48
		q := desk.PlanPoint{El: unit.AngleFromDeg(-10), Up: up, Merit: 0.5}
		if up {
			q.El = unit.AngleFromDeg(40)
		}
		p.Points = append(p.Points, q)
	}
	rise := stage.Evening().Add(19 * time.Hour)
	p.Next = []desk.PlanPass{{Rise: rise, Set: rise.Add(8 * time.Hour), Highest: rise.Add(4 * time.Hour),
		HighestEl: unit.AngleFromDeg(49)}}
	p.Passes = p.Next
	return p
}

func open(t *testing.T, change func(*desk.Status)) (*Pane, *stage.Desk, *widget.Open) {
	t.Helper()
	test.NewTempApp(t)
	status := stage.Tracking()
	status.Plan = month()
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

func TestClickLooksAtThatMoment(t *testing.T) {
	p, d, _ := open(t, nil)
	size := p.ridge.raster.Size()
	pitch, top := p.ridge.pitch(float64(size.Height))
	// In the middle of the row of the 14th, at 18 h.
	p.ridge.Tapped(&fyne.PointEvent{Position: fyne.NewPos(dayWidth+size.Width*0.75,
		float32(hourHeight+top+13.5*pitch))})
	asked, ok := stage.Only[desk.LookAt](d.Asked())
	want := time.Date(2027, 4, 14, 18, 0, 0, 0, time.UTC)
	if !ok || asked.At.Sub(want).Abs() > 2*time.Minute {
		t.Fatalf("asked %+v", asked)
	}
	p.ridge.TypedKey(&fyne.KeyEvent{Name: fyne.KeyDown})
	if asked, ok = stage.Only[desk.LookAt](d.Asked()); !ok {
		t.Errorf("the arrow asked %+v", asked)
	}
}

func TestArmFromTheList(t *testing.T) {
	p, d, layer := open(t, nil)
	p.arm.Tapped(nil)
	var line *widget.Placed
	for _, placed := range widget.Inventory(layer.Object()) {
		if placed.Name == "arm-2027-04-15" {
			line = &placed
		}
	}
	if line == nil {
		t.Fatal("the pass of the 15th is not offered")
	}
	line.Object.(fyne.Tappable).Tapped(nil)
	if asked, ok := stage.Only[desk.Arm](d.Asked()); !ok || !asked.On || asked.At.Day() != 15 {
		t.Errorf("asked %+v", asked)
	}
}

func TestQuestionOfTheLastSession(t *testing.T) {
	p, d, _ := open(t, func(s *desk.Status) {
		s.Armed = desk.Armed{Has: true, Question: true, Target: "the Moon", Rise: s.At.Add(time.Hour),
			Set: s.At.Add(9 * time.Hour)}
	})
	if p.arm.ControlWords() != "Arm it again" {
		t.Errorf("the button says %q", p.arm.ControlWords())
	}
	p.arm.Tapped(nil)
	if asked := d.Asked(); len(asked) != 1 || asked[0] != (desk.Arm{On: true}) {
		t.Errorf("asked %+v", asked)
	}
}

func TestWritesFiles(t *testing.T) {
	p, _, layer := open(t, nil)
	folder := t.TempDir()
	for button, name := range map[string]string{"plan-csv": "month.csv", "plan-calendar": "month.ics",
		"plan-png": "month.png"} {
		p.openExport()
		parts := map[string]widget.Named{}
		for _, placed := range widget.Inventory(layer.Object()) {
			parts[placed.Name] = placed.Object
		}
		parts["plan-path-entry"].(*widget.Entry).SetText(filepath.Join(folder, "month"))
		press := func() {
			synctest.Test(t, func(*testing.T) {
				parts[button].(fyne.Tappable).Tapped(nil)
				synctest.Wait()
			})
		}
		if err := os.WriteFile(filepath.Join(folder, name), []byte("old"), 0o600); err != nil {
			t.Fatal(err)
		}
		press()
		if text, _ := os.ReadFile(filepath.Join(folder, name)); string(text) != "old" || !layer.Covers() {
			t.Errorf("%s: a file that was there is replaced without asking", name)
		}
		press()
		if about, err := os.Stat(filepath.Join(folder, name)); err != nil || about.Size() < 100 {
			t.Errorf("%s: %v", name, err)
		}
		if layer.Covers() {
			t.Errorf("%s: the sheet stays open: %q", name, parts["plan-wrong"].(*widget.Text).ControlWords())
			layer.Close()
		}
	}
}

func TestOwnDatesStandOnALineOfTheirOwn(t *testing.T) {
	day := func(month time.Month, day int) time.Time { return time.Date(2027, month, day, 0, 0, 0, 0, time.UTC) }
	for _, c := range []struct {
		name     string
		marks    []desk.PlanMark
		sky, own string
	}{
		{"none", nil, "", ""},
		{"the sky's", []desk.PlanMark{{At: day(4, 14), Words: message.Of("mark.perigee")},
			{At: day(4, 7), Words: message.Of("mark.sun-near")}},
			"Perigee 14 Apr · Sun near 7 Apr", ""},
		{"both", []desk.PlanMark{{At: day(4, 14), Words: message.Text("perigee")},
			{At: day(4, 17), Until: day(4, 19), Words: message.Text("activity weekend")},
			{At: day(4, 30), Until: day(5, 2), Words: message.Text("field day")}},
			"Perigee 14 Apr", "activity weekend 17–18 Apr · field day 30 Apr–1 May"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, _, _ := open(t, func(s *desk.Status) { s.Plan.Marks = c.marks })
			if p.marks.ControlWords() != c.sky || p.own.ControlWords() != c.own || p.own.Visible() != (c.own != "") {
				t.Errorf("%q, %q (%v)", p.marks.ControlWords(), p.own.ControlWords(), p.own.Visible())
			}
		})
	}
}

// Under the pointer the month tells when, how high and what for; beside it the legend comes back.
func TestMonthIsReadOut(t *testing.T) {
	p, d, _ := open(t, nil)
	legend := p.legend.ControlWords()
	size := p.ridge.raster.Size()
	pitch, top := p.ridge.pitch(float64(size.Height))
	at := fyne.NewPos(dayWidth+size.Width*0.75, hourHeight+float32(top+13.5*pitch)) // the 14th, 18 h
	p.ridge.MouseIn(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}})
	want := "14 Apr 18:00 UTC: az 0°, el 40°, degradation 0.0 dB"
	if got := p.legend.ControlWords(); got != want {
		t.Errorf("%q, want %q", got, want)
	}
	p.Show(view.At(d.Status(), 10, 0))
	if p.legend.ControlWords() == legend {
		t.Error("a tick brings the legend back while the pointer is over the month")
	}
	if p.ridge.MouseOut(); p.legend.ControlWords() != legend {
		t.Errorf("%q, want %q", p.legend.ControlWords(), legend)
	}
}

// What is shared is drawn above the passes of the days after it.
func TestSharedIsAboveAll(t *testing.T) {
	p, _, _ := open(t, func(s *desk.Status) {
		for i := range s.Plan.Points {
			q := &s.Plan.Points[i]
			q.El, q.Up, q.Shared = unit.AngleFromDeg(89), true, i < desk.PlanPointsADay
		}
	})
	const w, h = 400, 600
	picture := p.ridge.draw(w, h)
	pitch, top := p.ridge.pitch(h)
	is, found := widget.Current().Measured, false
	for y := int(top+pitch) - 2; y <= int(top+pitch)+2; y++ {
		r, g, b, _ := picture.At(w/2+7, y).RGBA()
		found = found || uint8(r>>8) == is.R && uint8(g>>8) == is.G && uint8(b>>8) == is.B
	}
	if !found {
		t.Error("the shared part of the first day is covered")
	}
}

func TestPlanOfAnotherTarget(t *testing.T) {
	p, d, layer := open(t, func(s *desk.Status) { s.Target.Choice = desk.BodyChoice{Kind: desk.Sun, Name: "Sun"} })
	if got := p.target.ControlWords(); got != "Moon ▾" {
		t.Errorf("with the Sun as target the month is of %q", got)
	}
	p.target.Tapped(nil)
	for _, placed := range widget.Inventory(layer.Object()) {
		if placed.Name == "plan-target-cyg-a" {
			placed.Object.(fyne.Tappable).Tapped(nil)
		}
	}
	want := desk.PlanOf{Body: desk.BodyChoice{Kind: desk.Source, Name: "Cyg A"}}
	if asked, ok := stage.Only[desk.PlanOf](d.Asked()); !ok || asked != want {
		t.Errorf("asked %+v", asked)
	}
}
