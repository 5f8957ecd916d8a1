package plan

import (
	"slices"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// openOtherPartners offers the partners of the list for the plan, each on or off.
func (p *Pane) openOtherPartners() {
	if p.now.Status == nil || p.now.Radio == nil || len(p.now.Radio.Partners) == 0 {
		p.told.SetWords("no partners in the list: see Echo")
		return
	}
	var items []widget.Item
	for _, partner := range p.now.Radio.Partners {
		in := slices.Contains(p.now.PlanWith, partner.Name)
		item := widget.Item{Words: partner.Name + ", " + partner.Locator, Name: "with-" + view.Name(partner.Name),
			Chosen: in, Toggles: true,
			Tip: "Share the plan's passes with " + partner.Name,
			Act: func() { p.with.Desk.Ask(desk.OtherPartnersTo{Name: partner.Name, On: !in}) }}
		if p.now.Radio.HasPartner && p.now.Radio.Partner.Name == partner.Name {
			item.Words += " (in use)"
			item.Tip = "The partner in use; here it is let go"
			item.Act = func() {
				p.with.Desk.Ask(desk.OtherPartnersTo{Name: partner.Name})
				p.with.Desk.Ask(desk.PartnerTo{})
			}
		}
		items = append(items, item)
	}
	p.with.Open.ShowItems("plan-with-list", p.partners, items)
}
