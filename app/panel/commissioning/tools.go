package commissioning

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"

	"beamhelm/app/commission"
	"beamhelm/app/desk"
	"beamhelm/app/panel/controls"
	"beamhelm/app/panel/save"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// drives are what can be chosen, percent of full drive.
func drives() []int { return []int{2, 5, 10, 25, 50, 100} }

// pushes drive an axis for as long as a button is held.
type pushes struct {
	with    widget.Context
	drive   int // index of drives: the lowest until another is chosen
	choices []*widget.Button
	hold    [2][2]*widget.Press // axis, falling and rising
	place   [2]*widget.Text
}

func newPushes(with widget.Context) *pushes {
	p := &pushes{with: with}
	for i, percent := range drives() {
		p.choices = append(p.choices, widget.NewButton(fmt.Sprint(percent), fmt.Sprintf("commission-drive-%d", percent),
			fmt.Sprintf("Push at %d %% of full drive", percent),
			func() { p.choose(i) }).Tight().Sized(widget.SmallText))
	}
	for axis := range p.hold {
		name := [2]string{"az", "el"}[axis]
		for side := range 2 {
			up := side == 1
			words := commission.WayName(axis, up)
			p.hold[axis][side] = widget.NewPress("Hold: "+words, fmt.Sprintf("commission-push-%s-%d", name, side),
				"Drives the axis "+words+" for as long as it is held; let go and it stops",
				func() { p.renew(axis, up) })
		}
		p.place[axis] = widget.NewLabel("").Elastic().Named("commission-place-" + name)
	}
	p.choose(p.drive)
	return p
}

func (p *pushes) choose(i int) {
	p.end()
	p.drive = i
	for k, b := range p.choices {
		b.Choose(k == i)
	}
}

func (p *pushes) renew(axis int, up bool) {
	drive := float64(drives()[p.drive]) / 100
	if !up {
		drive = -drive
	}
	o := desk.Push{Az: drive}
	if axis == 1 {
		o = desk.Push{El: drive}
	}
	p.with.Desk.Ask(o)
}

// end ends every push.
func (p *pushes) end() {
	for _, axis := range p.hold {
		for _, b := range axis {
			b.End()
		}
	}
}

// object is a new arrangement of the pad for both axes.
func (p *pushes) object() fyne.CanvasObject {
	choices := []widget.Part{widget.Fixed(widget.NewLabel("Drive, %").Reserve("Elevation"))}
	for _, b := range p.choices {
		choices = append(choices, widget.Sharing(b))
	}
	rows := []widget.Part{widget.Fixed(widget.Row(4, choices...))}
	for axis, name := range [2]string{"Azimuth", "Elevation"} {
		rows = append(rows, widget.Fixed(widget.Row(6, widget.Fixed(widget.NewLabel(name).Reserve("Elevation")),
			widget.Sharing(p.hold[axis][0]), widget.Sharing(p.hold[axis][1]))),
			widget.Fixed(widget.Row(6, widget.Fixed(widget.NewLabel("").Reserve("Elevation")),
				widget.Sharing(p.place[axis]))))
	}
	return widget.Column(4, rows...)
}

func (p *pushes) show(now view.Now, c *desk.Commissioning) {
	may := now.Live && c.State.MayMove() && now.Power == desk.PowerOn && !now.Lock.Locked
	for axis := range p.hold {
		a := c.Now.Axes[axis]
		words := fmt.Sprintf("%d counts", a.Counts)
		if a.Applied != 0 {
			words += fmt.Sprintf(", drive %+.0f %%", 100*a.Applied)
		}
		switch {
		case !a.Fitted:
			words = "not fitted"
		case now.Lock.Locked:
			words += "; locked out: Release first"
		case now.Power != desk.PowerOn:
			words += "; drive power is off"
		case a.Trusted:
			words += fmt.Sprintf(", at %.2f°", a.IsDeg)
		}
		p.place[axis].SetWords(view.Minus(words))
		for _, b := range p.hold[axis] {
			b.SetEnabled(may && a.Fitted)
		}
	}
}

// toolsOf are what a step is worked with.
func (p *Pane) toolsOf(step commission.Step) fyne.CanvasObject {
	small := func(words, name, tip string, act func()) widget.Part {
		return widget.Sharing(widget.NewButton(words, name, tip, act).Tight().Sized(widget.SmallText))
	}
	switch step {
	case commission.Motors:
		parts := []widget.Part{widget.Fixed(p.pushes.object())}
		for axis, name := range [2]string{"az", "el"} {
			label := widget.NewLabel([2]string{"Azimuth", "Elevation"}[axis]).Reserve("Elevation")
			saw := func(yes bool) func() {
				return func() { p.act(commission.Act{Kind: commission.Saw, Axis: axis, Yes: yes}) }
			}
			right := small("went as pressed", "commission-saw-"+name, "The dish really went the way that was pressed",
				saw(true))
			wrong := small("went the other way", "commission-other-"+name,
				"The dish went against the way that was pressed", saw(false))
			p.saw[axis] = [2]*widget.Button{right.Object.(*widget.Button), wrong.Object.(*widget.Button)}
			parts = append(parts, widget.Fixed(widget.Row(6, widget.Fixed(label), right, wrong)))
		}
		return widget.Column(4, parts...)
	case commission.Counts:
		return widget.Column(4, widget.Fixed(p.pushes.object()),
			widget.Fixed(p.rotationRow(0)), widget.Fixed(p.rotationRow(1)))
	case commission.Speeds:
		return widget.Column(4, widget.Part{Object: p.plot.object, Min: 150}, widget.Fixed(p.pushes.object()))
	case commission.Limits:
		return p.pushes.object()
	case commission.Reference, commission.FirstPeak:
		return p.skyRow(step)
	case commission.Report:
		return widget.Row(6, widget.Spring(), small("Write the report…", "commission-report",
			"As text, or as a picture", p.openReport))
	}
	return nil
}

// skyRow has what is needed to come to the Sun.
func (p *Pane) skyRow(step commission.Step) fyne.CanvasObject {
	order := func(o desk.Order) func() { return func() { p.with.Desk.Ask(o) } }
	button := func(words, name, tip string, o desk.Order) widget.Part {
		return widget.Sharing(widget.NewButton(words, name, tip, order(o)).Tight().Sized(widget.SmallText))
	}
	sun := button("Sun as the target", "commission-sun", "Choose the Sun",
		desk.Choose{Body: desk.BodyChoice{Kind: desk.Sun, Name: "Sun"}})
	if step == commission.Reference {
		beam := widget.NewButton("Set position…", "commission-beam", "The beam or the feed's shadow is on the target "+
			"now: its place is where the axes stand. What changes is shown before",
			func() { controls.AskBeam(p.with, p.now) }).Tight().Sized(widget.SmallText)
		return widget.Column(4, widget.Fixed(p.pushes.object()), widget.Fixed(widget.Row(6, sun, widget.Sharing(beam))))
	}
	return widget.Row(6, sun, button("Track it", "commission-track", "Track the target",
		desk.Track{On: true}),
		button("Peak", "commission-peak", "Scan across the target both ways",
			desk.TakePeak{Sweeps: true}),
		button("Apply as trim", "commission-use", "Apply the newest peak as the trim", desk.UsePeak{}))
}

// rotationRow takes a known turn of an axis.
func (p *Pane) rotationRow(axis int) fyne.CanvasObject {
	name := [2]string{"az", "el"}[axis]
	entry := widget.NewEntry("commission-rotation-"+name+"-entry", "degrees")
	take := func(string) {
		deg, err := view.ParseAngle(entry.Text, -720, 720)
		if err != nil {
			p.told.Set("▲ "+err.Error()+", negative "+commission.WayName(axis, false), view.Attention)
			return
		}
		if c := p.now.Commissioning; c != nil {
			if t := c.State.Rotations[axis]; !t.HasFrom {
				p.told.Set("▲ mark the start of the rotation first", view.Attention)
				return
			}
		}
		p.act(commission.Act{Kind: commission.RotationTo, Axis: axis, Deg: deg.Deg()})
	}
	entry.OnSubmitted = take
	begin := widget.NewButton("rotation starts here", "commission-rotation-"+name,
		"The known rotation of this axis starts at its present position",
		func() { p.act(commission.Act{Kind: commission.RotationFrom, Axis: axis}) }).Tight().Sized(widget.SmallText)
	end := widget.NewButton("and ends", "commission-rotation-end-"+name, "The axis has gone these degrees since",
		func() { take("") }).Tight().Sized(widget.SmallText)
	return widget.Row(6, widget.Fixed(widget.NewLabel([2]string{"Azimuth", "Elevation"}[axis]).Reserve("Elevation")),
		widget.Sharing(begin), widget.Part{Object: entry, Share: 1, Min: 80}, widget.Sharing(end))
}

// openLeave asks why a step is left out, or opens it again.
func (p *Pane) openLeave() {
	c := p.now.Commissioning
	if c == nil {
		return
	}
	step := p.step
	if c.State.Marks[step].Verdict != commission.Open {
		p.act(commission.Act{Kind: commission.Reopen, Step: step})
		return
	}
	why := widget.NewEntry("commission-why-entry", "reason: the report quotes it")
	wrong := widget.NewProse("").Small().Named("commission-wrong")
	cancel := widget.NewButton("Cancel", "commission-cancel", "Leave it open", nil)
	leave := widget.NewButton("Skip it", "commission-leave-now", "The step is skipped", nil).Looking(widget.Filled)
	sheet := p.with.Open.ShowSheet("commission-dialog", fmt.Sprintf("Skip: %s", step), widget.Column(8,
		widget.Part{Object: why, Min: 30}, widget.Fixed(wrong)), []*widget.Button{cancel, leave}, why)
	out := func() {
		if strings.TrimSpace(why.Text) == "" {
			wrong.Set("Enter a reason", view.Attention)
			return
		}
		sheet.Close()
		p.act(commission.Act{Kind: commission.Refuse, Step: step, Words: why.Text})
		p.goTo(min(step+1, commission.Report))
	}
	leave.SetAct(out)
	why.OnSubmitted = func(string) { out() }
}

func (p *Pane) openAnew() {
	keep := widget.NewButton("Cancel", "commission-cancel", "Close without a change", nil)
	forget := widget.NewButton("Start over", "commission-reset", "Resets all steps and discards their measurements",
		nil)
	sheet := p.with.Open.ShowSheet("commission-anew-dialog", "Start over",
		widget.NewProse("Reset the findings and measurements of every step? The settings stay."),
		[]*widget.Button{keep, forget}, keep)
	forget.SetAct(func() {
		sheet.Close()
		p.act(commission.Act{Kind: commission.Anew})
		p.goTo(commission.Cautions)
	})
}

// openReport asks where the report is to be written.
func (p *Pane) openReport() {
	c := p.now.Commissioning
	if c == nil {
		return
	}
	text := c.State.Text(c.Config, c.Now)
	forms := []save.Form{
		{Words: "Text", Name: "commission-text", Tip: "The report as text", Ending: ".txt",
			Body: func() ([]byte, error) { return []byte(text), nil }},
		save.PNG("commission-png", sheet(c)),
	}
	save.Ask(p.with, "commission-report", "Report of the commissioning", "commissioning-"+c.Now.At.Format("2006-01-02"),
		forms, func(words string) { p.told.Set(words, view.Plain) })
}
