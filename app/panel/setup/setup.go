// Package setup changes the settings in the window: each key with its unit, its
// range and what it is for, what is wrong marked at once, what changes shown
// before it is saved. The file stays the truth.
package setup

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/panel/offwindow"
	"beamhelm/app/panel/widget"
	"beamhelm/app/settings"
	"beamhelm/app/view"
)

// Keeper has the settings in force, and saves new ones. What wants an
// offwindow.Context may take long, and is called beside the window's goroutine.
type Keeper interface {
	// Settings are those in force.
	Settings() settings.Settings
	// Where is the file that Save writes; Own says that the settings in force come from it.
	Where() (path string, own bool)
	// Save writes settings that have no fault into the file.
	Save(offwindow.Context, settings.Settings) error
	// Restart closes the program as if the window had been closed, and opens it with the settings of the file.
	Restart()
	// Ports are the serial ports found, each with what is known of it.
	Ports(offwindow.Context) []Port
	// Look looks at the enclosure on a line, without writing anything.
	Look(offwindow.Context, settings.Link) LookResult
	// Firmware writes or verifies the enclosure's firmware on a board, and says
	// what the board holds then. told hears how far it is, from any goroutine.
	Firmware(ctx offwindow.Context, b Board, told func(stage string, percent int)) (string, error)
	// SunYear says on which days of a year the Sun comes to the places of rest, a line each.
	SunYear(offwindow.Context, settings.Settings) []string
	// Audio is the receiver's audio; nil for none.
	Audio() Audio
}

// Port is a serial port of this computer.
type Port struct{ Path, Words string }

// Pane is the pane Set-up.
type Pane struct {
	with   widget.Context
	keeper Keeper
	draft  *settings.Draft
	now    view.Now

	chapter     int
	choose      *widget.Button
	why         *widget.Text
	rows        *fyne.Container
	scroll      *container.Scroll
	fields      []*field
	told        *widget.Text
	undo, write *widget.Button
	beam        []*widget.Text // what the bands come to, where they are shown
	job         offwindow.Job  // something is being looked at, read or written
	besides     []Beside
	firmware    *flashing
	hearing     *hearing    // nil where it isn't shown
	toneOutput  *toneOutput // the same
	object      fyne.CanvasObject
}

// New returns the pane.
func New(with widget.Context, keeper Keeper) *Pane {
	p := &Pane{with: with, keeper: keeper, draft: settings.NewDraft(keeper.Settings()), rows: container.NewStack(),
		why: widget.NewLabel("").Elastic(), told: widget.NewText("").Small().Elastic().Named("setup-result")}
	p.choose = widget.NewButton("", "setup-chapter", "Which part of the settings",
		p.openChapters).Sized(widget.SmallText)
	p.undo = widget.NewButton("Undo", "setup-undo", "Take the last change back", func() {
		p.draft.Undo()
		p.build()
	}).Tight().Sized(widget.SmallText)
	p.write = widget.NewButton("Save…", "setup-save", "Shows what changes, before anything is written",
		p.openSave).Tight().Sized(widget.SmallText)
	p.scroll = widget.NewVScroll(p.rows)
	p.scroll.SetMinSize(fyne.NewSize(380, 240))
	p.object = widget.Column(5, widget.Fixed(widget.Row(8, widget.Fixed(p.choose), widget.Sharing(p.why))),
		widget.Sharing(p.scroll),
		widget.Fixed(widget.Row(6, widget.Sharing(p.told), widget.Fixed(p.undo), widget.Fixed(p.write))))
	p.firmware = newFlashing(p)
	p.build()
	return p
}

// Title implements widget.Pane.
func (p *Pane) Title() string { return "Set-up" }

// Object implements widget.Pane.
func (p *Pane) Object() fyne.CanvasObject { return p.object }

// Show implements widget.Pane.
func (p *Pane) Show(now view.Now) {
	p.now = now
	if p.hearing != nil && now.Tick%2 == 0 {
		p.hearing.show()
	}
	if p.toneOutput != nil {
		p.toneOutput.show()
	}
}

// chapter is a part of the settings that is shown together.
type chapter struct {
	words    string
	sections []string
}

func chapters() []chapter {
	return []chapter{
		{"Station", []string{"station", "air", "clock"}},
		{"Dish", []string{"dish"}},
		{"Bands and feeds", []string{"bands"}},
		{"Link to the enclosure", []string{"link"}},
		{"Azimuth axis", []string{"axes.azimuth"}},
		{"Elevation axis", []string{"axes.elevation"}},
		{"Motion and tracking", []string{"motion", "tracking", "periods", "permit"}},
		{"Horizon and structures", []string{"structures", "horizon", "closed_sectors"}},
		{"Park and stow", []string{"park", "wind_stow", "snow_stow"}},
		{"Wind and Sun", []string{"wind", "sun"}},
		{"Receiver audio", []string{"audio"}},
		{"Noise meter", []string{"meter"}},
		{"Radio", []string{"radio", "keying"}},
		{"Alarm limits", []string{"readings"}},
		{"Sound and camera", []string{"sound", "camera"}},
		{"Other programs", []string{"publish"}},
		{"Partners and the window", []string{beside}},
	}
}

// has says whether a key belongs to the chapter, and to which of its sections.
func (c chapter) has(key string) (section string, ok bool) {
	for _, s := range c.sections {
		if strings.HasPrefix(key, s+".") || strings.HasPrefix(key, s+"[") {
			return s, true
		}
	}
	return "", false
}

func (p *Pane) openChapters() {
	var items []widget.Item
	wrong := map[int]bool{}
	for _, f := range p.draft.Faults() {
		for i, c := range chapters() {
			if _, in := c.has(f.Key); in {
				wrong[i] = true
			}
		}
	}
	for i, c := range chapters() {
		words := c.words
		if wrong[i] {
			words += " ▲"
		}
		items = append(items, widget.Item{Words: words, Name: "setup-" + view.Name(c.words), Chosen: i == p.chapter,
			Act: func() {
				p.chapter = i
				p.scroll.ScrollToTop()
				p.build()
			}})
	}
	p.with.Open.ShowItems("setup-chapters", p.choose, items)
}

// build makes the rows of the chapter again.
func (p *Pane) build() {
	c := chapters()[p.chapter]
	p.choose.Set(c.words+" ▾", widget.Quiet)
	p.fields, p.beam, p.hearing, p.toneOutput = nil, nil, nil, nil
	var parts []widget.Part
	section, member := "", ""
	parts = append(parts, p.bringers(c.sections[0])...)
	for _, e := range p.draft.Entries() {
		at, in := c.has(e.Key)
		if !in {
			continue
		}
		if at != section {
			section = at
			parts = append(parts, widget.Fixed(widget.Paragraph(sectionWhy(at), aboutLetters, view.Faint)))
		}
		if m := memberOf(e.Key); m != member {
			member = m
			if m != "" {
				parts = append(parts, widget.Fixed(p.memberRow(m)))
			}
		}
		f := p.newField(e)
		p.fields = append(p.fields, f)
		parts = append(parts, widget.Fixed(f.object))
	}
	for _, list := range listsOf(c, p.draft.Settings()) {
		parts = append(parts, widget.Fixed(widget.NewButton(list.words, "setup-add-"+view.Name(list.key),
			"Add an empty one", func() {
				p.say(p.draft.Add(list.key))
				p.build()
			}).Tight().Sized(widget.SmallText)))
	}
	// clear of the scroll bar
	p.rows.Objects = []fyne.CanvasObject{widget.Row(10, widget.Sharing(widget.Column(6, parts...)), widget.Space(1))}
	p.rows.Refresh()
	p.review()
}

// say tells what is wrong with what was just asked.
func (p *Pane) say(wrong string) {
	if wrong != "" {
		p.told.Set(wrong, view.Attention)
	}
}

// review marks what is wrong, and says how much was changed.
func (p *Pane) review() {
	for _, e := range p.draft.Entries() {
		for _, f := range p.fields {
			if f.key == e.Key {
				f.mark(e)
			}
		}
	}
	for i, line := range view.BeamLines(p.draft.Settings()) {
		if i < len(p.beam) {
			p.beam[i].SetWords(line)
		}
	}
	p.listen()
	faults, changes := p.draft.Faults(), p.draft.Changes()
	p.undo.SetEnabled(len(changes) > 0 || len(faults) > 0)
	p.write.SetEnabled(len(changes) > 0 && len(faults) == 0)
	switch {
	case len(faults) > 0:
		p.told.Set(fmt.Sprintf("▲ %s: %s", faults[0].Key, faults[0].Words), view.Attention)
	case len(changes) == 0:
		path, own := p.keeper.Where()
		words := "Nothing changed. Settings: " + path
		if !own {
			words = "Practice: Save makes these your own settings"
		}
		p.told.Set(words, view.Faint)
	default:
		p.told.Set(fmt.Sprintf("%d changed, not saved", len(changes)), view.Plain)
	}
}

// findPorts offers the ports that are there for a key, found off Fyne's goroutine.
func (p *Pane) findPorts(key string) {
	opening(p, "Looking for serial ports…", offwindow.Usual, func(ctx offwindow.Context) ([]Port, error) {
		return p.keeper.Ports(ctx), nil
	}, func(ports []Port) { p.offerPorts(key, ports) })
}

func (p *Pane) offerPorts(key string, ports []Port) {
	if len(ports) == 0 {
		p.told.Set("No serial port is found; any path can be typed", view.Attention)
		return
	}
	var items []widget.Item
	for _, port := range ports {
		items = append(items, widget.Item{Words: strings.TrimSpace(port.Path + "  " + port.Words),
			Name: "setup-port-" + view.Name(port.Path), Act: func() {
				p.say(p.draft.Set(key, port.Path))
				p.build()
			}})
	}
	p.with.Open.ShowItems("setup-port-list", p.choose, items)
}
