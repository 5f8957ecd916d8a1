package health

import (
	"fmt"
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

// Neither what a station check says while it runs nor what it finds moves a button: one that is about to be pressed
// stays under the pointer.
func TestResultsOfACheckMoveNoButton(t *testing.T) {
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	w := test.NewTempWindow(t, nil)
	open := widget.NewOpen(w.Canvas(), func() float32 { return 40 })
	status := stage.Tracking()
	status.Check = desk.Check{Unusual: []desk.Unusual{{Key: "a", Words: message.Text("Coolant flows at 4.0 L/min")}}}
	p := New(widget.Context{Open: open, Desk: stage.New(status)})
	w.SetContent(container.NewStack(p.Object(), open.Object()))
	w.Resize(fyne.NewSize(440, 700))
	tick := func(change func(*desk.Check)) {
		next := status
		change(&next.Check)
		now := view.At(&next, 10, 0)
		p.Watch(now)
		p.Show(now)
		open.Show(now)
	}
	tick(func(*desk.Check) {})
	p.check.show()
	places := func() (all map[string]fyne.Position) {
		all = map[string]fyne.Position{}
		for _, placed := range widget.Inventory(open.Object()) {
			if _, is := placed.Object.(*widget.Button); is {
				all[placed.Name] = fyne.CurrentApp().Driver().AbsolutePositionForObject(placed.Object)
			}
		}
		return all
	}
	tick(func(*desk.Check) {})
	before := places()
	if len(before) != 5 || before["check-now"].Y < 560 {
		t.Fatalf("the buttons stand at %v", before)
	}
	result := &desk.CheckResult{At: stage.Evening(), Verdict: message.Text("no fault found")}
	for i := range 30 {
		line := desk.CheckLine{What: fmt.Sprintf("Line %d", i), Words: message.Text("as usual")}
		result.Lines = append(result.Lines, line)
	}
	for name, change := range map[string]func(*desk.Check){
		"under way": func(c *desk.Check) {
			c.Running, c.Part = true, 0.4
			c.Doing = message.Text("azimuth goes out and back, slowly, then at half speed, then as fast as it can")
		},
		"few results": func(c *desk.Check) {
			c.Last = &desk.CheckResult{At: stage.Evening(), Lines: result.Lines[:2]}
		},
		"many results": func(c *desk.Check) { c.Last = result },
		"link losses": func(c *desk.Check) {
			c.Last = result
			c.Cable = []desk.CableCount{{Band: "1296 MHz", QuietS: time.Hour.Seconds()}}
		},
	} {
		tick(change)
		for button, at := range places() {
			if at != before[button] {
				t.Errorf("%s: %s stands at %v, before at %v", name, button, at, before[button])
			}
		}
	}
}
