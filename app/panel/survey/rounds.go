package survey

import (
	"fmt"
	"slices"
	"strings"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
)

// usualTargets are chosen at first: what most stations hear.
func usualTargets() []string { return []string{"Moon", "Sun"} }

// roundHours are the lengths to choose from.
func roundHours() []int { return []int{1, 2, 4, 8} }

// openRounds asks for the targets and the hours of a survey that goes by itself, or ends it.
func (p *Pane) openRounds() {
	if p.now.Survey.Rounds.Running {
		p.with.Desk.Ask(desk.SurveyTo{})
		return
	}
	names := []string{"Moon", "Sun"}
	if p.now.Status != nil {
		for _, source := range p.now.Sources {
			names = append(names, source.Name)
		}
	}
	chosen, hours := usualTargets(), 2
	begin := widget.NewButton("Start", "rounds-begin",
		"The dish goes from target to target automatically; a motion warning sounds before each slew",
		nil).Looking(widget.Primary)
	cancel := widget.NewButton("Cancel", "rounds-cancel", "Start nothing", nil)
	var targets []fyne.CanvasObject
	for _, name := range names {
		b := widget.NewButton(name, "round-"+name, "Include or exclude it", nil).Tight().Sized(widget.SmallText)
		b.Choose(slices.Contains(chosen, name))
		b.SetAct(func() {
			if at := slices.Index(chosen, name); at >= 0 {
				chosen = slices.Delete(chosen, at, at+1)
			} else {
				chosen = append(chosen, name)
			}
			b.Choose(slices.Contains(chosen, name))
			begin.SetEnabled(len(chosen) > 0)
		})
		targets = append(targets, b)
	}
	var lengths []widget.Part
	var buttons []*widget.Button
	for _, h := range roundHours() {
		b := widget.NewButton(fmt.Sprintf("%d h", h), fmt.Sprintf("round-hours-%d", h), "How long it goes on",
			nil).Tight().Sized(widget.SmallText)
		b.Choose(h == hours)
		b.SetAct(func() {
			hours = h
			for i, other := range buttons {
				other.Choose(roundHours()[i] == h)
			}
		})
		buttons = append(buttons, b)
		lengths = append(lengths, widget.Sharing(b))
	}
	caution := widget.NewProse("Nobody may be near the dish while it moves automatically. " +
		"It stops for wind, faults, an open door, and whatever you press.").Small()
	content := widget.Column(8, widget.Fixed(widget.NewNote("Cross-scans on")),
		widget.Fixed(widget.Flow(6, targets...)),
		widget.Fixed(widget.NewNote("For")), widget.Fixed(widget.Row(6, lengths...)), widget.Space(2),
		widget.Fixed(caution))
	sheet := p.with.Open.ShowSheet("rounds-dialog", "Automatic survey", content, []*widget.Button{cancel, begin},
		cancel)
	begin.SetAct(func() {
		sheet.Close()
		p.with.Desk.Ask(desk.SurveyTo{On: true, Targets: strings.Join(chosen, ","), Hours: hours})
	})
}
