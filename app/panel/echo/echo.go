// Package echo shows the radio path by way of the Moon: the own echo, the partner
// and where to tune, and how they run over the pass.
package echo

import (
	"time"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/desk/radio"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Pane is the pane Echo.
type Pane struct {
	with   widget.Context
	object fyne.CanvasObject
	now    view.Now

	word, reasons                        *widget.Text
	ownHead, ownWhen, passHead, passWhen *widget.Text
	own, partner                         *widget.Figures
	partnerKey, conventionKey, budgetKey *widget.Button
	agreedKey, ownKey                    *widget.Button
	dials                                [2]dial
	charts                               [4]*chart.Plot
	pass                                 *desk.RadioPass // that of the charts, and when they were drawn
	charted                              time.Time

	radio *desk.Radio
	live  bool
}

// New returns the pane.
func New(with widget.Context) *Pane {
	p := &Pane{
		with:     with,
		word:     widget.NewText("").Sized(widget.FigureText).Bold().Named("echo-summary"),
		reasons:  widget.NewLabel("").Elastic().Named("echo-reasons"),
		ownHead:  widget.NewLabel("").Bold().Elastic(),
		ownWhen:  widget.NewLabel("").Right().Elastic(),
		passHead: widget.NewLabel("").Bold().Elastic(),
		passWhen: widget.NewLabel("").Right().Elastic(),
		own:      widget.NewFigures("echo-own", 8),
		partner:  widget.NewFigures("echo-partner", 6).Wide(),
	}
	p.partnerKey = widget.NewButton("Partner ▾", "partner-select",
		"The station at the other end; P takes the next one of the list",
		p.openPartners).Tight().Sized(widget.SmallText)
	p.conventionKey = widget.NewButton("each station corrects ▾", "convention-select",
		"Who corrects the Doppler shift: it decides the receive and transmit frequencies",
		p.openConventions).Tight().Sized(widget.SmallText)
	p.budgetKey = widget.NewButton("Budget…", "echo-budget",
		"What the echo should be, term by term, and what a partner should hear",
		p.openBudget).Tight().Sized(widget.SmallText)
	p.agreedKey = widget.NewButton("—", "echo-agreed",
		"The frequency agreed with the partner on this band, from which the dial is worked out",
		p.openAgreed).Tight().Sized(widget.SmallText).Reserve("1296.065 MHz…")
	p.ownKey = widget.NewButton("Measure…", "echo-own",
		"Measure the own echo: it says first what it will do", p.OpenOwn).Tight().Sized(widget.SmallText)
	for i := range p.charts {
		p.charts[i] = chart.NewPlot(with, "echo-"+[...]string{"doppler", "spread", "loss", "noise"}[i]).Flat()
	}
	p.dials = [2]dial{newDial("echo-receive"), newDial("echo-transmit")}
	heads := func(left, right *widget.Text) fyne.CanvasObject {
		return widget.Row(6, widget.Sharing(left), widget.Sharing(right))
	}
	pair := func(a, b *chart.Plot) fyne.CanvasObject {
		return widget.Row(6, widget.Sharing(a.Object()), widget.Sharing(b.Object()))
	}
	p.object = widget.Column(3,
		widget.Fixed(widget.Row(6, widget.Sharing(p.word), widget.Fixed(p.agreedKey),
			widget.Fixed(p.budgetKey))), widget.Fixed(p.reasons),
		widget.Fixed(widget.Row(6, widget.Sharing(p.ownHead), widget.Sharing(p.ownWhen), widget.Fixed(p.ownKey))),
		widget.Part{Object: p.own.Object(), Share: 8},
		widget.Fixed(widget.Row(6, widget.Part{Object: p.partnerKey, Share: 1},
			widget.Part{Object: p.conventionKey, Share: 1})),
		widget.Fixed(widget.Row(6, widget.Sharing(p.dials[0].object), widget.Sharing(p.dials[1].object))),
		widget.Part{Object: p.partner.Object(), Share: 6},
		widget.Fixed(heads(p.passHead, p.passWhen)),
		widget.Part{Object: pair(p.charts[0], p.charts[1]), Share: 4},
		widget.Part{Object: pair(p.charts[2], p.charts[3]), Share: 4})
	return p
}

// Title implements widget.Pane.
func (p *Pane) Title() string { return "Echo" }

// Object implements widget.Pane.
func (p *Pane) Object() fyne.CanvasObject { return p.object }

// Show implements widget.Pane: when the desk has worked the figures out again, once a second.
func (p *Pane) Show(now view.Now) {
	p.now = now
	if now.Radio == p.radio && now.Live == p.live && now.Radio != nil {
		return
	}
	p.radio, p.live = now.Radio, now.Live
	e := view.EchoOf(now)
	p.word.Set(e.Summary.Head.Words, e.Summary.Head.Tone)
	p.reasons.Set(e.Summary.Under.Words, e.Summary.Under.Tone)
	p.ownHead.SetWords(e.OwnHead.Head.Words)
	p.ownWhen.SetWords(e.OwnHead.Under.Words)
	changed := p.own.Show(e.Own)
	p.partnerKey.Set(e.PartnerWords+" ▾", widget.Quiet)
	p.conventionKey.Set(e.Convention+" ▾", widget.Quiet)
	p.agreedKey.Set(view.AgreedWords(now)+"…", widget.Quiet)
	for i := range p.dials {
		p.dials[i].show(e.Dials[i])
	}
	changed = p.partner.Show(e.Partner) || changed
	p.partnerKey.SetEnabled(now.Radio != nil)
	p.agreedKey.SetEnabled(now.Radio != nil)
	p.conventionKey.SetEnabled(now.Radio != nil)
	if changed {
		p.object.Refresh()
	}
	pass := view.PassWords(now)
	p.passHead.SetWords(pass.Head.Words)
	p.passWhen.SetWords(pass.Under.Words)
	p.showCharts(now)
}

// showCharts shows the plots over the pass: when the pass is another, or now has moved as far as is seen.
func (p *Pane) showCharts(now view.Now) {
	var pass *desk.RadioPass
	if now.Radio != nil {
		pass = now.Radio.Pass
	}
	if pass == p.pass && pass != nil && now.At.Sub(p.charted).Abs() < time.Minute {
		return
	}
	p.pass, p.charted = pass, now.At
	for i, plot := range view.EchoCharts(now) {
		p.charts[i].Show(plot)
	}
}

// NextPartner takes the next partner of the list; after the last, none.
func (p *Pane) NextPartner() {
	r := p.now.Status
	if r == nil || r.Radio == nil || len(r.Radio.Partners) == 0 {
		return
	}
	next := r.Radio.Partners[0].Name
	if r.Radio.HasPartner {
		next = ""
		for i, known := range r.Radio.Partners[:len(r.Radio.Partners)-1] {
			if known.Name == r.Radio.Partner.Name {
				next = r.Radio.Partners[i+1].Name
			}
		}
	}
	p.take(next)
}

func (p *Pane) take(name string) {
	p.with.Desk.Ask(desk.PartnerTo{Name: name})
}

func (p *Pane) openPartners() {
	r := p.now.Radio
	if r == nil {
		return
	}
	items := []widget.Item{{Words: "No partner", Name: "partner-none", Tip: "Only the own echo", Chosen: !r.HasPartner,
		Act: func() { p.take("") }}}
	for _, known := range r.Partners {
		items = append(items, widget.Item{
			Words: known.Name + ", " + known.Locator, Name: "partner-" + view.Name(known.Name),
			Tip:    known.Polarisation + ". " + known.Note,
			Chosen: r.HasPartner && r.Partner.Name == known.Name, Act: func() { p.take(known.Name) },
		})
	}
	items = append(items, widget.Item{Words: "Add, remove, import…", Name: "partners-edit",
		Tip: "Change the list of partners", Act: p.OpenList})
	p.with.Open.ShowItems("partner-list", p.partnerKey, items)
}

func (p *Pane) openConventions() {
	r := p.now.Radio
	if r == nil {
		return
	}
	var items []widget.Item
	for i, words := range radio.Conventions() {
		items = append(items, widget.Item{
			Words: view.Sentence(words), Name: "convention-" + view.Name(words), Tip: view.ConventionTip(i),
			Chosen: i == r.Convention,
			Act:    func() { p.with.Desk.Ask(desk.ConventionTo{Index: i}) },
		})
	}
	p.with.Open.ShowItems("convention-list", p.conventionKey, items)
}
