package controls

import (
	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Drives switches drive power, goes to the resting and storm places, references
// the position, gives the permit, and keeps everything still for work at the dish.
type Drives struct {
	object fyne.CanvasObject
	with   widget.Context
	now    view.Now

	position                   *widget.Text
	power, park, stow          *widget.Button
	reference, permit, working *widget.Button
	sheet                      *referenceSheet
	permitTip                  string
}

// NewDrives returns the controls of the drives.
func NewDrives(with widget.Context) *Drives {
	d := &Drives{with: with, position: widget.NewLabel("").Right().Elastic().Named("position")}
	d.power = widget.NewButton("Powered", "power", "Switch drive power on or off", d.togglePower).Tight()
	d.park = widget.NewButton("Park", "park", "Go to the park position", d.Park).Tight()
	d.stow = widget.NewButton("Stow ▾", "stow", "Go to a storm place, for wind or for snow", d.OpenStow).Tight()
	d.reference = widget.NewButton("Reference…", "reference-button",
		"Set the position of the axes, so that they are referenced", d.openReference).Tight()
	d.permit = widget.NewButton("Transmit permit", "permit", view.PermitPurpose, d.TogglePermit).
		Tight().Reserve("Permit requested")
	d.working = widget.NewButton("Working at the dish", "working",
		"Someone is at the dish: nothing starts until this is ended", d.toggleWorking).Tight()
	head := widget.Row(8, widget.Fixed(widget.NewLabel("Drives")),
		widget.Sharing(widget.NewWhole("position-in-full", d.position, with.InFull)))
	d.object = widget.Column(5, widget.Fixed(head),
		widget.Fixed(widget.Row(6, widget.Sharing(d.power), widget.Sharing(d.park), widget.Sharing(d.stow))),
		widget.Fixed(widget.Row(6, widget.Sharing(d.reference), widget.Sharing(d.permit))),
		widget.Fixed(d.working))
	return d
}

// Title implements widget.Pane.
func (d *Drives) Title() string { return "Drives" }

// Object implements widget.Pane.
func (d *Drives) Object() fyne.CanvasObject { return d.object }

// Show implements widget.Pane.
func (d *Drives) Show(now view.Now) {
	d.now = now
	position := view.PositionShort(now)
	d.position.Set(position.Words, position.Tone)

	d.power.Set(view.PowerWords(now.Power), looks(now.Power != desk.PowerOff))
	d.power.SetEnabled(now.Live && (now.Power != desk.PowerOff || (!now.Lock.Locked && !now.Working)))
	free := view.MoveBlocked(now) == ""
	d.park.Choose(now.Activity == desk.Parking || now.Activity == desk.Parked)
	d.park.SetEnabled(free)
	d.stow.Choose(now.Activity == desk.Stowing || now.Activity == desk.Stowed)
	d.stow.SetEnabled(free)

	if view.Trusted(now) {
		d.reference.SetLook(widget.Quiet)
	} else {
		d.reference.SetLook(widget.Caution)
	}
	d.reference.SetEnabled(now.Live)
	d.permit.Set(view.PermitControl(now), looks(now.PermitRequested))
	d.permit.SetEnabled(now.Live)
	if tip := view.PermitTip(now); tip != d.permitTip {
		d.permitTip = tip
		d.permit.Tip(tip)
	}
	if now.Working {
		d.working.Set("End working at the dish", widget.Caution)
	} else {
		d.working.Set("Working at the dish", widget.Quiet)
	}
	if d.sheet != nil {
		d.sheet.show(now)
	}
}

func (d *Drives) ask(o desk.Order) { d.with.Desk.Ask(o) }

func (d *Drives) togglePower() {
	d.with.Desk.Ask(desk.Power{On: d.now.Power == desk.PowerOff})
}

// TogglePermit requests the permit to transmit, or withdraws the request.
func (d *Drives) TogglePermit() {
	if d.permit.Disabled() {
		return
	}
	d.with.Desk.Ask(desk.Permit{On: !d.now.PermitRequested})
}

func (d *Drives) toggleWorking() {
	d.with.Desk.Ask(desk.Working{On: !d.now.Working})
}

// Park goes to the park position.
func (d *Drives) Park() {
	if !d.park.Disabled() {
		d.ask(desk.Park{})
	}
}

// OpenStow offers the storm places.
func (d *Drives) OpenStow() {
	if d.stow.Disabled() {
		return
	}
	d.with.Open.ShowItems("stow-menu", d.stow, []widget.Item{
		{Words: "Wind stow", Name: "wind-stow", Tip: "Go to the storm place for wind",
			Act: func() { d.ask(desk.WindStow{}) }},
		{Words: "Snow stow", Name: "snow-stow", Tip: "Go to the storm place for snow",
			Act: func() { d.ask(desk.SnowStow{}) }},
	})
}
