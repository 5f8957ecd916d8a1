package panel

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// right is the side of the window that changes: one of several panes, chosen by its tab.
type right struct {
	object fyne.CanvasObject
	stack  *fyne.Container // of the frames
	with   widget.Context
	panes  []widget.Pane
	tabs   []*widget.Button
	frames []fyne.CanvasObject
	marks  []*widget.GradeMark
	shown  int
	chosen bool // another pane was chosen since the last tick: all of it is brought up to date
	view   *widget.Button
	more   []widget.Item // of the menu View
	second *second
	both   func() // toggles the second pane
	sight  func() // brings what was chosen into sight
	shaded bool   // the sky is shaded by the noise
}

// rightWidth is the most that the side asks for, however long its words are.
const rightWidth = 412

// newRight returns the side with its panes, the first one shown.
func newRight(with widget.Context, palette func(string), keys func(), panes ...widget.Pane) *right {
	r := &right{with: with, panes: panes}
	parts := []widget.Part{}
	for index, pane := range panes {
		name := "pane-" + view.Name(pane.Title())
		tab := widget.NewButton(pane.Title(), name, "Show the pane "+pane.Title(), nil).Tight()
		tab.SetAct(func() { r.leaveFor(index, tab) })
		mark := widget.NewGradeMark()
		r.tabs, r.marks = append(r.tabs, tab), append(r.marks, mark)
		r.frames = append(r.frames, widget.Padded(pane.Object(), widget.Inset, 6))
		parts = append(parts, widget.Fixed(tab))
		if _, ok := pane.(graded); ok {
			parts = append(parts, widget.Fixed(mark))
		}
	}
	r.view = widget.NewButton("View ▾", "view-menu-button",
		"Colours and text size, other panes, set-up, practice and the handbook",
		func() { r.openView(palette, keys) })
	parts = append(parts, widget.Spring(), widget.Fixed(r.view))
	r.stack = container.NewStack(r.frames...)
	r.object = widget.Seamed(widget.Column(widget.Gap,
		widget.Fixed(widget.Capped(widget.Padded(widget.Row(4, parts...), 4, 3), rightWidth)),
		widget.Sharing(widget.Capped(r.stack, rightWidth))))
	r.second = newSecond(panes, r.chooseSecond)
	r.choose(0)
	return r
}

// add adds a pane without a tab: what is returned shows it, and any tab goes back.
func (r *right) add(pane widget.Pane) (choose func()) {
	index := len(r.panes)
	frame := widget.Padded(pane.Object(), widget.Inset, 6)
	frame.Hide()
	r.panes, r.frames = append(r.panes, pane), append(r.frames, frame)
	r.stack.Add(frame)
	return func() { r.leaveFor(index, r.view) }
}

// offer adds a line to the menu View; key is the one that does the same, empty for none.
func (r *right) offer(words, key, name, tip string, act func()) {
	item := widget.Item{Words: words, Name: name, Tip: tip, Act: act}
	if key != "" {
		item.Cells = []string{key}
	}
	r.more = append(r.more, item)
}

// chooseTitle shows the pane with a title, if there is one.
func (r *right) chooseTitle(title string) {
	for i, pane := range r.panes {
		if pane.Title() == title {
			r.choose(i)
		}
	}
}

// leaveFor shows a pane in place of what lies over the panes.
func (r *right) leaveFor(index int, beneath fyne.CanvasObject) {
	r.with.Open.Leave(beneath, func() { r.choose(index) })
}

func (r *right) choose(index int) {
	if pane, ok := r.panes[index].(interface{ prepare() }); ok {
		pane.prepare()
	}
	if former := r.shown; index == r.second.shown && former < len(r.tabs) {
		r.second.shown = former // the two change places
	}
	r.shown = index
	r.arrange()
	if r.sight != nil {
		r.sight()
	}
}

// watcher is a pane that takes in every status, visible or not.
type watcher interface{ Watch(now view.Now) }

// graded is a pane whose tab tells the worst of what it shows.
type graded interface{ Grade() desk.Grade }

// eager is a pane that may draw at every tick, and says whether it does.
type eager interface{ Eager() bool }

// eager says whether the pane that is shown draws at every tick.
func (r *right) eager() bool {
	for i, pane := range r.panes {
		if p, ok := pane.(eager); ok && r.visible(i) && p.Eager() {
			return true
		}
	}
	return false
}

func (r *right) show(now view.Now) {
	r.shaded = now.Shaded
	for i, pane := range r.panes {
		if p, ok := pane.(watcher); ok {
			p.Watch(now)
		}
		if r.visible(i) {
			shown := now
			shown.Full = now.Full || r.chosen
			pane.Show(shown)
		}
		if g, ok := pane.(graded); ok && i < len(r.marks) {
			r.marks[i].Set(g.Grade())
		}
	}
	r.chosen = false
}

func (r *right) openView(palette func(string), keys func()) {
	items := append(colours(palette), r.shading(), widget.Item{Words: "Two panes", Cells: []string{"F9"},
		Name: "two-panes", Chosen: r.second.wanted, Toggles: true, Act: r.both,
		Tip: "A second pane beside this one, where the window is at least 1800 wide"},
		widget.Item{Words: "Keyboard…", Cells: []string{"F1"}, Name: "keys", Tip: "What each key does", Act: keys})
	r.with.Open.ShowItems("view-menu", r.view, append(items, r.more...))
}

// shading shades the sky by the noise, or no longer.
func (r *right) shading() widget.Item {
	on := !r.shaded
	return widget.Item{
		Words: "Noise over the sky", Name: "shading", Chosen: r.shaded, Toggles: true,
		Tip: "Shades the sky by the antenna temperature of this beam, from the lowest to five times that",
		Act: func() { r.with.Desk.Ask(desk.ShadingTo{On: on}) },
	}
}

// colours are the choices of palettes.
func colours(palette func(string)) (items []widget.Item) {
	current := widget.Current().Name
	for _, p := range widget.Palettes() {
		items = append(items, widget.Item{
			Words: "Colours: " + p.Name, Name: "palette-" + p.Name, Chosen: p.Name == current,
			Act: func() { palette(p.Name) },
		})
	}
	return items
}
