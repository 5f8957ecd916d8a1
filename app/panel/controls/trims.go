package controls

import (
	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Trims shows the trim, chooses the step, and clears or takes back the trim.
type Trims struct {
	object fyne.CanvasObject
	with   widget.Context

	purpose          *widget.Text
	cross, elevation *widget.Text
	steps            [view.StepCount]*widget.Button
	zero, back, sun  *widget.Button
	now              view.Now
}

// NewTrims returns the trims and the step of the nudge pad.
func NewTrims(with widget.Context) *Trims {
	t := &Trims{
		with:      with,
		purpose:   widget.NewLabel("").Elastic().Named("trim-for"),
		cross:     widget.NewText("").Bold().Right().Reserve("+88.88°").Named("trim-cross"),
		elevation: widget.NewText("").Bold().Right().Reserve("+88.88°").Named("trim-elevation"),
	}
	t.zero = widget.NewButton("Zero trim", "trim-zero", "Set both trims to zero",
		func() { with.Desk.Ask(desk.TrimTo{}) }).Tight()
	t.back = widget.NewButton("Previous trim", "previous-trim", "Return to the trim before the last change (Ctrl+B)",
		t.Back).Tight()
	t.sun = widget.NewButton("Sun's trim", "trim-of-sun", "",
		func() { with.Desk.Ask(desk.TrimTo{Trim: t.now.Trim.OfSun}) }).Tight()
	for i, name := range [view.StepCount]string{"nudge-step-tenth", "nudge-step-half", "nudge-step-0.1",
		"nudge-step-1"} {
		t.steps[i] = widget.NewButton("", name, "", func() { with.Hand.SetStep(i) }).Tight().Reserve("0.88°")
	}
	with.Hand.OnStep(t.showStep)
	t.showStep()
	figures := widget.NewStill(widget.Column(2,
		widget.Fixed(widget.Row(6, widget.Fixed(widget.NewLabel("Cross-elevation")), widget.Spring(),
			widget.Fixed(t.cross))),
		widget.Fixed(widget.Row(6, widget.Fixed(widget.NewLabel("Elevation")), widget.Spring(),
			widget.Fixed(t.elevation)))))
	pair := func(a, b *widget.Button) widget.Part {
		return widget.Sharing(widget.Row(4, widget.Sharing(a), widget.Sharing(b)))
	}
	acts := widget.Column(4, pair(t.steps[0], t.steps[1]), pair(t.steps[2], t.steps[3]))
	row := widget.Row(12, widget.Part{Object: figures, Share: 1}, widget.Part{Object: acts, Min: 128})
	head := widget.Row(12, widget.Sharing(widget.NewWhole("trim-for-in-full", t.purpose, with.InFull)),
		widget.Part{Object: widget.NewLabel("one step"), Min: 128})
	t.object = widget.Column(4, widget.Fixed(head), widget.Fixed(row),
		widget.Fixed(widget.Row(6, widget.Sharing(t.zero), widget.Sharing(t.back), widget.Sharing(t.sun))))
	return t
}

// Title implements widget.Pane.
func (t *Trims) Title() string { return "Trim" }

// Object implements widget.Pane.
func (t *Trims) Object() fyne.CanvasObject { return t.object }

// Show implements widget.Pane.
func (t *Trims) Show(now view.Now) {
	t.with.Hand.SetBeam(now.Band.HalfPower)
	t.purpose.SetWords(view.TrimPurpose(now))
	tone := view.Plain
	if !now.Live {
		tone = view.Old
	}
	t.cross.Set(view.SignedDegrees(now.Trim.CrossEl), tone)
	t.elevation.Set(view.SignedDegrees(now.Trim.El), tone)
	t.zero.SetEnabled(now.Live && (now.Trim.CrossEl != 0 || now.Trim.El != 0))
	t.sun.SetEnabled(now.Live && now.Trim.HasSun)
	if tip := view.SunTrimTip(now); tip != t.sun.ToolTip() {
		t.sun.Tip(tip)
	}
	t.now = now
	t.back.SetEnabled(now.Live && now.Trim.CanGoBack)
}

// Back returns to the trim before the last change.
func (t *Trims) Back() {
	if !t.back.Disabled() {
		t.with.Desk.Ask(desk.TrimBack{})
	}
}

func (t *Trims) showStep() {
	for i, degrees := range t.with.Hand.Steps() {
		t.steps[i].Set(view.StepWords(degrees), widget.Quiet)
		t.steps[i].Tip(view.StepTip(i, degrees))
		t.steps[i].Choose(t.with.Hand.Chosen() == i)
	}
}
