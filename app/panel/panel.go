// Package panel is the program's one window: its frame, its keys, and the
// follower that keeps it up to date.
package panel

import (
	"slices"
	"sync/atomic"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	fynetooltip "github.com/dweymouth/fyne-tooltip"

	"beamhelm/app/commission"
	"beamhelm/app/desk"
	"beamhelm/app/panel/camera"
	"beamhelm/app/panel/commissioning"
	"beamhelm/app/panel/controls"
	"beamhelm/app/panel/echo"
	"beamhelm/app/panel/health"
	"beamhelm/app/panel/help"
	"beamhelm/app/panel/lanes"
	"beamhelm/app/panel/noise"
	"beamhelm/app/panel/plan"
	"beamhelm/app/panel/receiver"
	"beamhelm/app/panel/records"
	"beamhelm/app/panel/setup"
	"beamhelm/app/panel/spectrum"
	"beamhelm/app/panel/survey"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Config is what can be set of the window. Its zero is Default.
type Config struct {
	// Palette is "day", "dusk" or "dim"; empty is dusk.
	Palette string
	// Width and Height of the window at first, in its own units; 0 is 1340 and 800.
	Width, Height float32
	// Records are looked back into; nil for none.
	Records records.Source
	// Faults of the simulated dish; nil for a real one.
	Faults Faults
	// Practice is the way to the simulated dish and back; nil for none.
	Practice PracticeSwitch
	// Notes keeps the operator's notes; nil for none.
	Notes Notes
	// Log keeps contacts; nil for none.
	Log Log
	// Camera gives pictures of the dish; nil for none.
	Camera camera.Source
	// Audio is the receiver's; nil for none. AudioScale is how it becomes audio.
	Audio      spectrum.Source
	AudioScale view.AudioScale
	// Setup changes the settings; nil for none.
	Setup setup.Keeper
	// Handbook are its pages; none for no handbook.
	Handbook []help.Page
	// Scale is the size of words and all else, percent; 0 is the desktop's.
	Scale int
	// Pane is the title of the right-hand pane shown at first; empty is Health.
	Pane string
	// Second is that of the pane beside it, in a wide window; empty for none.
	Second string
	// Shown, if any, is called after every tick, on Fyne's goroutine.
	Shown func()
}

// Default returns the usual settings of the window.
func Default() Config { return Config{Palette: "dusk", Width: 1340, Height: 800} }

// Window is the program's window.
type Window struct {
	app    fyne.App
	window fyne.Window
	with   widget.Context
	asked  *asking

	faults Faults
	notes  Notes
	log    Log
	top    *top
	foot   *foot
	target *controls.Target
	trims  *controls.Trims
	health *health.Pane
	echo   *echo.Pane
	noise  *noise.Pane
	right  *right
	body   *fyne.Container // of both sides
	panes  []widget.Pane   // all that are always visible
	// The first of them show the past while a trip is replayed.
	replayed int
	frames   frames // around these
	records  *records.Pane
	spectrum func() // shows the pane, if any
	keys     *keys
	follow   *follower
	shown    func()
	closer   *closeSheet
	drives   *controls.Drives
	setup    *setup.Pane // nil until it is first shown
	now      view.Now
	hold     view.Hold   // of the follower's goroutine, once that runs
	eager    atomic.Bool // the pane on the right draws at each tick
	parts    fyne.CanvasObject
	scroll   *container.Scroll // holds the body, which is larger than its room in a small window
	sighted  fyne.Focusable    // what had the keyboard when that was last looked at
	scale    int               // percent; 0 is the desktop's
	settling
}

// New makes the window of a desk, and opens nothing: Run does.
func New(app fyne.App, d view.Desk, config Config) *Window {
	usual := Default()
	if config.Width == 0 || config.Height == 0 {
		config.Width, config.Height = usual.Width, usual.Height
	}
	w := &Window{app: app, faults: config.Faults, notes: config.Notes, log: config.Log}
	w.SetPalette(config.Palette)
	w.SetScale(config.Scale)
	w.window = app.NewWindow("Beamhelm")
	canvas := w.window.Canvas()
	w.asked = &asking{Desk: d, window: w}
	w.with = widget.Context{Desk: w.asked, Open: widget.NewOpen(canvas,
		func() float32 { return w.foot.object.Size().Height }), Hand: widget.NewHand(w.asked), InFull: w.showInFull,
		Scroll: w.scrollBody}
	w.build(config.Records, config.Camera)
	w.top.practice.openedBy(w.with, config.Faults)
	w.keys = newKeys(w)
	w.follow = newFollower(d, &w.hold, &w.eager, w.bring, app.Quit)
	w.window.SetPadded(false)
	w.window.SetContent(w.withTips(fynetooltip.AddWindowToolTipLayer(w.parts, canvas)))
	w.window.Resize(fyne.NewSize(config.Width, config.Height))
	w.window.SetCloseIntercept(w.askToClose)
	if config.Audio != nil {
		w.spectrum = w.right.add(spectrum.New(w.with, config.Audio, config.AudioScale))
		w.right.offer("Spectrum", "F8", "spectrum",
			"The receiver's audio: spectrum and waterfall, and where the own echo and the partner must be", w.spectrum)
	}
	w.offerWork(config.Setup)
	w.offerPractice(config.Practice)
	if len(config.Handbook) > 0 {
		pane := newLate("Handbook", func() *help.Pane { return help.New(w.with, config.Handbook) })
		w.right.offer("Handbook", "", "handbook",
			"From the first start to the Moon, every guard, troubleshooting, glossary",
			w.right.add(pane))
	}
	if w.log != nil {
		w.right.offer("Contact…", "L", "contact", "A contact for the log, with the figures of this moment",
			w.openContact)
	}
	w.right.offer("Status in full…", "I", "in-full",
		"All that the upper and the lower edge say, and all that stands against transmitting", w.showInFull)
	w.right.offer("Text size…", "", "scale", "Text size: Ctrl and + or −", w.openScale)
	w.addScaleKeys(canvas)
	w.right.chooseTitle(config.Pane)
	w.right.openSecond(config.Second)
	w.show(view.At(d.Status(), 0, 0))
	w.shown = config.Shown
	return w
}

// offerWork offers what is done seldom: the settings, and the first work at a new dish.
func (w *Window) offerWork(keeper setup.Keeper) {
	var settle func([]commission.Suggestion)
	if keeper != nil {
		pane := newLate("Set-up", func() *setup.Pane {
			w.setup = setup.New(w.with, keeper)
			w.setup.Offer(w.besides()...)
			return w.setup
		})
		show := w.right.add(pane)
		w.right.offer("Set-up…", "", "setup", "The settings: station, dish, bands, axes, link and all else", show)
		settle = func(list []commission.Suggestion) {
			show()
			pane.get().Take(list)
		}
	}
	work := newLate("Commissioning", func() *commissioning.Pane { return commissioning.New(w.with, settle) })
	w.right.offer("Commissioning…", "", "commissioning", "Commissioning a new dish, step by step", w.right.add(work))
}

// besides are what Set-up offers of what isn't in the settings file.
func (w *Window) besides() []setup.Beside {
	return []setup.Beside{
		{Words: "Partners…", Name: "setup-partners", Why: "Stations you work with: locator, feed and a note for each",
			Open: func(fyne.CanvasObject) {
				w.echo.Show(w.now) // it knows the list only while it is shown
				w.echo.OpenList()
			}},
		{Words: "Colours…", Name: "setup-colours",
			Why: "The window's colours: for daylight, for dusk, and dim for the night",
			Open: func(at fyne.CanvasObject) {
				w.with.Open.ShowItems("colours-menu", at, colours(w.SetPalette))
			}},
		{Words: "Text size…", Name: "setup-scale", Why: "Text size", Open: func(fyne.CanvasObject) { w.openScale() }},
	}
}

// openOwnEcho opens the measurement of own echoes, unless something is open.
func (w *Window) openOwnEcho() {
	if w.keys.covered() {
		return
	}
	w.echo.Show(w.now) // it may never have been shown
	w.echo.OpenOwn()
}

// The most width that the cards of axes and of what can be done ask for, however long their words are.
const (
	maxMiddle = 318
	maxActs   = 318
)

// build makes the parts and puts them in their places.
func (w *Window) build(past records.Source, eye camera.Source) {
	w.top = newTop(w.with, w.openOwnEcho)
	w.foot = newFoot(w.with, w.Stop)
	w.target = controls.NewTarget(w.with)
	w.trims = controls.NewTrims(w.with)
	w.health = health.New(w.with)
	w.echo = echo.New(w.with)
	w.records = records.New(w.with, past)
	w.right = newRight(w.with, w.SetPalette, w.showKeys, w.health, receiver.New(w.with), survey.New(w.with), w.echo,
		plan.New(w.with), w.records)
	w.right.both = w.toggleSecond
	if past != nil {
		w.health.LookBackInto(past)
	}
	w.health.OnTrend(func(key string) {
		w.right.chooseTitle(w.records.Title())
		w.records.ShowKey(key)
	})
	axes, band, drives := lanes.New(), controls.NewBand(w.with), controls.NewDrives(w.with)
	w.drives = drives
	sky, beam, strip := leftPanes(w.with)
	w.noise = strip
	w.panes, w.replayed = []widget.Pane{sky, axes, beam, strip, w.target, w.trims, band, drives}, 4
	above := w.frames.around(sky.Object(), 4)
	if eye != nil {
		show := w.right.add(camera.New(eye))
		small := camera.NewSmall(eye, show)
		w.panes = append(w.panes, small)
		above = widget.Row(6, widget.Sharing(above), widget.Fixed(small.Object()))
	}

	middle := widget.NewCard(widget.Column(6, widget.Sharing(w.frames.around(axes.Object(), 5)),
		widget.Fixed(w.trims.Object())))
	acts := widget.NewCard(widget.Column(3, widget.Fixed(w.target.Object()), widget.Spring(),
		widget.Fixed(band.Object()), widget.Spring(), widget.Fixed(drives.Object())))
	heard := w.frames.around(widget.Padded(strip.Object(), 6, 4), 0)
	lower := widget.Seamed(widget.Row(widget.Gap,
		widget.Part{Object: w.frames.around(widget.Padded(beam.Object(), 6, 6), 0), Share: 10, Min: 256},
		widget.Part{Object: widget.Capped(middle, maxMiddle), Share: 9},
		widget.Part{Object: widget.Capped(acts, maxActs), Share: 9}))
	left := widget.Seamed(widget.Column(widget.Gap,
		widget.Part{Object: widget.Padded(above, 6, 6), Share: 5, Min: 182},
		widget.Part{Object: heard, Share: 1, Min: 62},
		widget.Part{Object: lower, Share: 3}))
	w.body = widget.Seamed(widget.Row(widget.Gap,
		widget.Part{Object: left, Share: 68},
		widget.Part{Object: w.right.second.object, Share: 32},
		widget.Part{Object: w.right.object, Share: 32}))
	w.scroll = widget.NewScroll(container.New(roomy{}, widget.Framed(w.body, widget.Gap)))
	w.with.Open.DockIn(w.right.stack, w.scroll)
	w.with.Open.Below(w.top.object)
	// What gets the keyboard back had it before: the operator has seen it, and scrolled on since.
	w.with.Open.OnClosed(func() { w.sighted = w.window.Canvas().Focused() })
	w.right.sight = func() { w.bringIntoSight(w.right.object) }
	w.parts = container.NewStack(container.New(edges{w.top, w.scroll, w.foot.object},
		w.top.object, w.scroll, w.foot.object), w.with.Open.Object())
}

// show brings everything visible up to date, before the follower does.
func (w *Window) show(now view.Now) { w.bring(now, w.hold.Next(now)) }

// bring brings everything visible up to what is shown of the newest moment.
func (w *Window) bring(newest, now view.Now) {
	w.now = newest
	w.settle()
	if title := view.WindowTitle(now); title != w.window.Title() {
		w.window.SetTitle(title)
	}
	w.top.show(now)
	past, did, replaying := w.records.Past(newest)
	if !replaying {
		past = now
	}
	w.showReplay(past, did, now, replaying)
	for i, pane := range w.panes {
		if i < w.replayed {
			pane.Show(past)
		} else {
			pane.Show(now)
		}
	}
	w.fitSecond()
	w.right.show(now)
	w.eager.Store(w.right.eager() || replaying)
	w.foot.show(now)
	w.with.Open.Show(now)
	w.keepFocusInSight()
	widget.RedrawMissed()
	w.closing(newest)
	if w.shown != nil {
		w.shown()
	}
}

// SetPalette puts the named palette in use; a name that is not known is dusk.
func (w *Window) SetPalette(name string) {
	palettes := widget.Palettes()
	at := slices.IndexFunc(palettes, func(p *widget.Palette) bool { return p.Name == name })
	palette := widget.Dusk()
	if at >= 0 {
		palette = palettes[at]
	}
	w.app.Settings().SetTheme(widget.NewTheme(palette))
}

// justAsked is for how many ticks what was asked may not show in the status yet.
const justAsked = 10

// escape stops whatever moves, or is about to, or may be in a moment, and closes
// what is open. With the dish at rest it only closes what was opened last.
func (w *Window) escape() {
	recently := w.asked.any && w.now.Tick-w.asked.at < justAsked
	if w.with.Open.Covers() && !recently && !view.StopsOnEsc(w.now) {
		w.with.Open.CloseTop()
		return
	}
	w.Stop()
}

// Stop ends every motion and closes what is open, a replay too.
func (w *Window) Stop() {
	w.with.Desk.Ask(desk.Stop{})
	w.keys.end()
	w.with.Open.Close()
	w.records.EndReplay()
}

// Run shows the window and follows the desk until the window is closed. It
// blocks, and runs on the program's first goroutine.
func (w *Window) Run() {
	w.app.Lifecycle().SetOnStarted(w.follow.start)
	w.app.Lifecycle().SetOnExitedForeground(w.keys.end)
	w.app.Lifecycle().SetOnStopped(func() { w.follow.over.Store(true) })
	w.window.ShowAndRun()
	w.follow.over.Store(true)
}

// Close ends the program as if the window had been closed, without asking. It
// may be called from any goroutine.
func (w *Window) Close() { w.follow.end() }

// Look is how the operator has set the window.
type Look struct {
	Palette string  `json:"palette"`
	Pane    string  `json:"pane"`
	Second  string  `json:"second,omitempty"` // the pane beside it, where one is wanted
	Scale   int     `json:"scale,omitempty"`
	Width   float32 `json:"width"`
	Height  float32 `json:"height"`
}

// Look returns how the window is set now. Call it on Fyne's goroutine.
func (w *Window) Look() Look {
	size := w.window.Canvas().Size()
	r := w.right
	look := Look{Palette: widget.Current().Name, Pane: r.panes[r.shown].Title(), Scale: w.scale, Width: size.Width,
		Height: size.Height}
	if r.second.wanted {
		look.Second = r.panes[r.second.shown].Title()
	}
	return look
}

// Fyne returns the window itself, for pictures of it and for its size.
func (w *Window) Fyne() fyne.Window { return w.window }
