package panel

import (
	"slices"
	"strconv"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Faults are what may be wrong with a simulated dish, so that an operator
// learns what each looks like. Its methods return at once.
type Faults interface {
	// Kinds are all there are, in groups.
	Kinds() []FaultGroup
	// Standing are the names of those put and not mended.
	Standing() []string
	// Put puts a fault, Mend takes one away; an empty name takes away all.
	Put(name string) error
	Mend(name string) error
}

// FaultGroup is the faults of an axis, or of a part of the dish.
type FaultGroup struct {
	Title string
	Kinds []FaultKind
}

// FaultKind is a fault: its name for the simulation, that for the eye, and what it means.
type FaultKind struct{ Name, Short, Words string }

// faultSheet is the menu of faults while it is open.
type faultSheet struct {
	faults  Faults
	sheet   *widget.Sheet
	buttons map[string]*widget.Button
	mend    *widget.Button
	said    *widget.Prose
	scales  []*widget.Button // by desk.TimeScales
}

func openFaults(with widget.Context, faults Faults) *faultSheet {
	f := &faultSheet{faults: faults, buttons: map[string]*widget.Button{},
		said: widget.NewNote("").Rows(2).Named("fault-result")}
	var columns []widget.Part
	for _, group := range faults.Kinds() {
		parts := []widget.Part{widget.Fixed(widget.Padded(widget.NewText(group.Title).Bold(), 8, 0))}
		for _, kind := range group.Kinds {
			b := widget.NewButton(kind.Short, "fault-"+kind.Name, kind.Words,
				nil).Looking(widget.Bare).Left().Tight().Sized(widget.SmallText)
			b.SetAct(func() { f.toggle(kind) })
			f.buttons[kind.Name] = b
			parts = append(parts, widget.Fixed(b))
		}
		columns = append(columns, widget.Sharing(widget.Column(1, append(parts, widget.Spring())...)))
	}
	f.mend = widget.NewButton("Clear all", "clear-all", "Clear every fault", func() { f.try(f.faults.Mend("")) })
	closing := widget.NewButton("Close", "close-faults", "Back to the window; the faults stay", nil)
	note := widget.NewProse("None of this touches a real dish. A fault stays until it is cleared here; " +
		"the panel must then be released as after a real one.").Small().Tone(view.Faint)
	parts := []widget.Part{widget.Fixed(f.timeScales(with)), widget.Fixed(note), widget.Fixed(f.said)}
	for pair := range slices.Chunk(columns, 2) {
		parts = append(parts, widget.Fixed(widget.Row(10, pair...)))
	}
	f.sheet = with.Open.ShowSheet("faults", "Practice: time and faults", widget.Column(8, parts...),
		[]*widget.Button{closing, f.mend}, closing)
	f.sheet.OnTick(f.showTimeScale)
	f.show()
	return f
}

// timeScales is the choice of how fast practice time runs.
func (f *faultSheet) timeScales(with widget.Context) fyne.CanvasObject {
	parts := []widget.Part{widget.Sharing(widget.Column(0, widget.Spring(),
		widget.Fixed(widget.NewText("Practice time").Bold()), widget.Spring()))}
	for _, scale := range desk.TimeScales() {
		b := widget.NewButton(view.TimeScale(scale), "time-scale-"+strconv.Itoa(scale), view.TimeScaleTip(scale),
			func() { with.Desk.Ask(desk.TimeScaleTo{Scale: scale}) }).Tight()
		f.scales = append(f.scales, b)
		parts = append(parts, widget.Fixed(b))
	}
	return widget.Row(4, parts...)
}

// showTimeScale marks the time scale in force.
func (f *faultSheet) showTimeScale(now view.Now) {
	for i, scale := range desk.TimeScales() {
		f.scales[i].Choose(now.TimeScale == scale)
		f.scales[i].SetEnabled(now.TimeScale > 0)
	}
}

func (f *faultSheet) toggle(kind FaultKind) {
	if slices.Contains(f.faults.Standing(), kind.Name) {
		f.try(f.faults.Mend(kind.Name))
		return
	}
	f.said.Set(kind.Words, view.Plain)
	f.try(f.faults.Put(kind.Name))
}

func (f *faultSheet) try(err error) {
	if err != nil {
		f.said.Set(err.Error(), view.Attention)
	}
	f.show()
}

// show marks the faults that stand.
func (f *faultSheet) show() {
	standing := f.faults.Standing()
	for name, b := range f.buttons {
		if slices.Contains(standing, name) {
			b.SetLook(widget.Caution)
		} else {
			b.SetLook(widget.Bare)
		}
	}
	f.mend.SetEnabled(len(standing) > 0)
	if len(standing) == 0 && f.said.ControlWords() == "" {
		f.said.Set("Click a fault to inject it, and again to clear it.", view.Faint)
	}
}

// practiceTip is what the mark opens.
const practiceTip = "How fast practice time runs, and faults to practise with"

// openedBy is what opens the menu of faults; nil faults have none.
func (m *practiceMark) openedBy(with widget.Context, faults Faults) {
	if faults != nil {
		m.open = func() { openFaults(with, faults) }
		m.Tip(practiceTip)
	}
}

// Tapped implements fyne.Tappable.
func (m *practiceMark) Tapped(*fyne.PointEvent) { m.act() }

// TypedKey implements fyne.Focusable.
func (m *practiceMark) TypedKey(event *fyne.KeyEvent) { m.Press(event, m.act) }

func (m *practiceMark) act() {
	if m.open != nil {
		m.open()
	}
}
