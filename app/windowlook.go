package main

import (
	"beamhelm/app/panel"
	"beamhelm/app/panel/help"
	"beamhelm/app/settings/kept"
	"beamhelm/app/view"
	"beamhelm/assets"
)

// The smallest and the largest window that is taken up again, in its own units.
const (
	minWindow = 200
	maxWindow = 10000
)

// windowConfig is the window as it was when it was last closed; what the command line says comes first.
func (p *session) windowConfig(o options) panel.Config {
	look, err := kept.Read(p.store, keptWindow, panel.Look{}, nil)
	if err != nil {
		p.tell(err) // a window of the usual size does no harm
		look = panel.Look{}
	}
	pages, err := help.Pages(assets.Handbook())
	if err != nil {
		p.tell(err)
	}
	c := panel.Config{Handbook: pages, Palette: look.Palette, Pane: look.Pane, Second: look.Second,
		Scale: look.Scale, Records: p.past,
		Faults: p.faults(), Notes: p, Log: p, Setup: setting{p}, Practice: practiceSwitch{p},
		Audio: p.audio, AudioScale: view.AudioScaleOf(p.settings.Audio)}
	if o.palette != "" {
		c.Palette = o.palette
	}
	if look.Width >= minWindow && look.Width <= maxWindow && look.Height >= minWindow &&
		look.Height <= maxWindow {
		c.Width, c.Height = look.Width, look.Height
	}
	return c
}

// looks takes note of how the window is set, once it is there.
func (p *session) looks(w *panel.Window) {
	if w == nil {
		return
	}
	now := w.Look()
	if last := p.look.Load(); last == nil || *last != now {
		p.look.Store(&now)
	}
}
