// Package survey shows what peaks all over the sky tell of the mount's errors.
package survey

import (
	"fmt"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Pane is the pane Survey.
type Pane struct {
	with   widget.Context
	object fyne.CanvasObject
	now    view.Now

	head, left, next, change  *widget.Text
	use, back, observed, anew *widget.Button
	rounds                    *widget.Button
	terms                     *widget.Figures
	sky                       *skyPlot
	byAz, byEl                *chart.Plot
	drawn                     drawn
}

// drawn is what the plots were last drawn for.
type drawn struct {
	fit any
	n   int
}

// New returns the pane.
func New(with widget.Context) *Pane {
	p := &Pane{
		with:   with,
		head:   widget.NewText("").Bold().Elastic().Named("survey-head"),
		left:   widget.NewLabel("").Right().Elastic().Named("survey-left"),
		next:   widget.NewLabel("").Elastic().Named("survey-next"),
		change: widget.NewText("").Small().Elastic().Named("survey-change"),
		terms:  widget.NewFigures("survey-term", 0),
		sky:    newSkyPlot(),
		byAz:   chart.NewPlot(with, "survey-by-azimuth"), byEl: chart.NewPlot(with, "survey-by-elevation"),
	}
	order := func(o desk.Order) func() { return func() { with.Desk.Ask(o) } }
	p.use = widget.NewButton("Apply model", "survey-use",
		"The fitted model corrects the pointing from now on; all trims are set to zero. Revert model restores both",
		order(desk.UseModel{})).Tight().Sized(widget.SmallText)
	p.back = widget.NewButton("Revert model", "survey-revert", "Revert to the previous mount model and its trims",
		order(desk.ModelBack{})).Tight().Sized(widget.SmallText)
	p.observed = widget.NewButton("Observations ▾", "survey-observations",
		"Show the observations; exclude one or include it again", p.openList).Tight().Sized(widget.SmallText)
	p.anew = widget.NewButton("New survey…", "survey-new", "Reset all observations",
		p.askAnew).Tight().Sized(widget.SmallText)
	p.rounds = widget.NewButton("Run survey…", "survey-rounds",
		"Peak on one target after another for hours, unattended",
		p.openRounds).Tight().Sized(widget.SmallText).Reserve("Abort the survey")
	p.object = widget.Column(4,
		widget.Fixed(widget.Row(6, widget.Sharing(p.head), widget.Sharing(p.left))),
		widget.Part{Object: p.sky.object, Share: 8, Min: 130},
		widget.Fixed(p.next),
		widget.Part{Object: widget.Row(6, widget.Sharing(p.byAz.Object()), widget.Sharing(p.byEl.Object())), Share: 4,
			Min: 90},
		widget.Part{Object: p.terms.Object(), Share: 8, Min: 140},
		widget.Fixed(p.change),
		widget.Fixed(widget.Row(6, widget.Sharing(p.use), widget.Sharing(p.back))),
		widget.Fixed(widget.Row(6, widget.Sharing(p.observed), widget.Sharing(p.anew), widget.Sharing(p.rounds))))
	return p
}

// Title implements widget.Pane.
func (p *Pane) Title() string { return "Survey" }

// Object implements widget.Pane.
func (p *Pane) Object() fyne.CanvasObject { return p.object }

// Show implements widget.Pane.
func (p *Pane) Show(now view.Now) {
	p.now = now
	if !now.Full {
		return
	}
	head := view.SurveyHead(now)
	p.head.Set(head.Head.Words, head.Head.Tone)
	p.left.Set(head.Under.Words, head.Under.Tone)
	next := view.SurveyNext(now)
	p.next.Set(next.Words, next.Tone)
	change := view.SurveyUse(now)
	p.change.Set(change.Words, change.Tone)
	p.use.SetEnabled(view.UseModelBlocked(now) == "")
	p.back.SetEnabled(now.Live && now.Survey.CanGoBack && !now.Peak.Running)
	p.rounds.SetEnabled(now.Live)
	if now.Survey.Rounds.Running {
		p.rounds.Set("Abort the survey", widget.Caution)
	} else {
		p.rounds.Set("Run survey…", widget.Quiet)
	}
	p.observed.SetEnabled(len(now.Survey.Observations) > 0)
	p.anew.SetEnabled(len(now.Survey.Observations) > 0)
	if p.terms.Show(view.SurveyTerms(now)) {
		p.object.Refresh()
	}
	is := drawn{now.Survey.Fit, len(now.Survey.Observations)}
	if is == p.drawn && now.Tick != 0 {
		return
	}
	p.drawn = is
	points := view.SurveyPoints(now.Survey)
	p.sky.show(points, now.Survey, now.Band.HalfPower.Deg())
	byAz, byEl := view.SurveyResiduals(points)
	p.byAz.Show(byAz)
	p.byEl.Show(byEl)
}

// maxListed is how many observations are listed: the newest.
const maxListed = 16

func (p *Pane) openList() { p.with.Open.ShowItems("observation-list", p.observed, p.items()) }

// items are the lines of the list, the newest first.
func (p *Pane) items() []widget.Item {
	all := p.now.Survey.Observations
	var items []widget.Item
	for i := len(all) - 1; i >= max(0, len(all)-maxListed); i-- {
		tip := "Exclude it from the fit"
		if all[i].Excluded {
			tip = "Include it again"
		}
		items = append(items, widget.Item{
			Words: view.ObservationWords(p.now, i), Name: fmt.Sprintf("observation-%d", i+1), Tip: tip,
			Chosen: !all[i].Excluded, Toggles: true,
			Act: func() { p.with.Desk.Ask(desk.Exclude{Index: i, Out: !all[i].Excluded}) },
		})
	}
	return items
}

func (p *Pane) askAnew() {
	keep := widget.NewButton("Cancel", "survey-cancel", "Close without a change", nil)
	forget := widget.NewButton("Reset", "survey-reset", "A new survey begins; the mount model in use stays", nil)
	words := widget.NewProse("Delete " + view.Count(len(p.now.Survey.Observations),
		"observation", "observations") + "? The mount model in use stays.")
	sheet := p.with.Open.ShowSheet("survey-dialog", "New survey", words, []*widget.Button{keep, forget}, keep)
	forget.SetAct(func() {
		sheet.Close()
		p.with.Desk.Ask(desk.ForgetSurvey{})
	})
}
