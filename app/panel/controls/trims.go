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
	steps            []*widget.Button
	zero, back       *widget.Button
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
		func() { with.Desk.Ask(desk.Order{Kind: desk.TrimTo}) }).Tight()
	t.back = widget.NewButton("Previous trim", "trim-back", "Return to the trim before the last change (Ctrl+B)", t.Back).Tight()
	steps := []widget.Part{}
	for i, degrees := range widget.Steps() {
		words := view.Number(degrees, 1) + "°"
		if degrees == 1 {
			words = "1°"
		}
		name := "nudge-step-" + words[:len(words)-len("°")]
		key := string(rune('1' + i))
		step := widget.NewButton(words, name, "One step of the arrows: "+words+" on the sky ("+key+")",
			func() { with.Hand.SetStep(degrees) }).Tight()
		t.steps = append(t.steps, step)
		steps = append(steps, widget.Sharing(step))
	}
	with.Hand.OnStep(t.showStep)
	t.showStep()
	figures := widget.Column(2,
		widget.Fixed(widget.Row(6, widget.Fixed(widget.NewLabel("Cross-elevation")), widget.Spring(), widget.Fixed(t.cross))),
		widget.Fixed(widget.Row(6, widget.Fixed(widget.NewLabel("Elevation")), widget.Spring(), widget.Fixed(t.elevation))))
	acts := widget.Column(0, widget.Spring(), widget.Fixed(widget.Row(4, steps...)), widget.Spring())
	row := widget.Row(12, widget.Part{Object: figures, Share: 1}, widget.Part{Object: acts, Least: 128})
	head := widget.Row(12, widget.Sharing(widget.NewWhole("trim-for-in-full", t.purpose, with.InFull)), widget.Part{Object: widget.NewLabel("one step"), Least: 128})
	t.object = widget.Column(4, widget.Fixed(head), widget.Fixed(row),
		widget.Fixed(widget.Row(6, widget.Sharing(t.zero), widget.Sharing(t.back))))
	return t
}

// Title implements widget.Pane.
func (t *Trims) Title() string { return "Trim" }

// Object implements widget.Pane.
func (t *Trims) Object() fyne.CanvasObject { return t.object }

// Show implements widget.Pane.
func (t *Trims) Show(now view.Now) {
	t.purpose.SetWords(view.TrimPurpose(now))
	tone := view.Plain
	if !now.Live {
		tone = view.Old
	}
	t.cross.Set(view.SignedDegrees(now.Trim.CrossEl), tone)
	t.elevation.Set(view.SignedDegrees(now.Trim.El), tone)
	t.zero.SetEnabled(now.Live && (now.Trim.CrossEl != 0 || now.Trim.El != 0))
	t.back.SetEnabled(now.Live && now.Trim.CanGoBack)
}

// Back returns to the trim before the last change.
func (t *Trims) Back() {
	if !t.back.Disabled() {
		t.with.Desk.Ask(desk.Order{Kind: desk.TrimBack})
	}
}

func (t *Trims) showStep() {
	for i, degrees := range widget.Steps() {
		t.steps[i].Choose(t.with.Hand.Step() == degrees)
	}
}
