// Package health shows every reading of the enclosure with its last ten minutes
// and its band, the switches, and the check of the dish.
package health

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Pane is the pane Health.
type Pane struct {
	object  *fyne.Container
	still   *widget.Still
	lying   *fyne.Container // on the still
	whole   fyne.CanvasObject
	check   *checking
	groups  []group
	states  []stateLine
	heading *widget.Text // over the states
	with    widget.Context
	scroll  *container.Scroll
	list    *list
	lines   []line          // in the order of the list
	folded  map[string]bool // groups by their names
	trend   func(key string)
	source  Records  // nil for none
	now     view.Now // as last shown

	histories [desk.ReadingCount]history
	fresh     [desk.ReadingCount]bool // a column began since the row was shown
	grade     desk.Grade
}

// group is a heading with its rows.
type group struct {
	heading *widget.Text
	name    string
	rows    []*row // none while it is folded
	all     []int  // readings, by their places in the status
}

// stateLine is one switch, or how the loop does.
type stateLine struct{ name, words *widget.Text }

// New returns the pane.
func New(with widget.Context) *Pane {
	p := &Pane{heading: widget.NewLabel("Switches and loop").Bold(), check: newChecking(with), with: with,
		folded: map[string]bool{}}
	p.list = newList(p)
	p.lying = container.New((*arrangement)(p))
	p.still = widget.NewStill(p.lying)
	p.object = container.New(layers{p}, p.still, p.list)
	p.scroll = widget.NewVScroll(p.object)
	p.scroll.SetMinSize(fyne.NewSize(minWidth, 300))
	p.whole = widget.Column(4, widget.Sharing(p.scroll), widget.Fixed(p.check.object))
	return p
}

// OnTrend has a function called to show the trend of a key of the records.
func (p *Pane) OnTrend(show func(key string)) { p.trend = show }

// LookBackInto has the sheets of readings tell what was recorded; nil for nothing.
func (p *Pane) LookBackInto(records Records) { p.source = records }

// Title implements widget.Pane.
func (p *Pane) Title() string { return "Health" }

// Object implements widget.Pane.
func (p *Pane) Object() fyne.CanvasObject { return p.whole }

// Grade returns the worst grade of all readings and switches.
func (p *Pane) Grade() desk.Grade { return p.grade }

// Watch takes the readings into the histories, whether the pane is visible or not.
func (p *Pane) Watch(now view.Now) {
	p.grade = view.HealthGrade(now)
	p.check.watch(now)
	if !now.Live {
		return
	}
	for index := range now.Readings {
		reading := &now.Readings[index]
		if reading.Fitted && reading.Value == reading.Value {
			if p.histories[index].add(now.At, reading.Value, now.TimeScale) {
				p.fresh[index] = true
			}
		}
	}
}

// Show implements widget.Pane.
func (p *Pane) Show(now view.Now) {
	p.now = now
	if !now.Full {
		return
	}
	groups, states := view.Groups(now), view.States(now)
	if !p.same(groups, len(states)) {
		p.build(groups, len(states))
	}
	var stale []*canvas.Raster
	for g, shown := range groups {
		for i, line := range shown.Lines {
			if i >= len(p.groups[g].rows) {
				break // folded
			}
			row := p.groups[g].rows[i]
			stale = append(stale, row.show(line, now.Readings[line.Index], p.fresh[line.Index])...)
			p.fresh[line.Index] = false
		}
	}
	for i, state := range states {
		p.states[i].name.SetWords(state.Name)
		p.states[i].words.Set(state.Words, state.Tone)
	}
	if len(stale) > 0 {
		p.still.Redraw(stale...)
	}
}

// same says whether the rows that stand are those wanted.
func (p *Pane) same(groups []view.ReadingGroup, states int) bool {
	return len(p.states) == states &&
		slices.EqualFunc(p.groups, groups, func(have group, want view.ReadingGroup) bool {
			return have.name == want.Name && slices.EqualFunc(have.all, want.Lines,
				func(index int, l view.ReadingLine) bool {
					return index == l.Index
				})
		})
}

// build makes the rows again.
func (p *Pane) build(groups []view.ReadingGroup, states int) {
	p.groups, p.states = nil, nil
	p.lying.RemoveAll()
	for _, wanted := range groups {
		folded := p.folded[wanted.Name]
		g := group{name: wanted.Name, heading: widget.NewLabel(
			headingWords(wanted.Name, len(wanted.Lines), folded)).Bold()}
		if wanted.Name == view.OutOfLimits {
			g.heading.Tone(wanted.Lines[0].Tone) // the worst stands first
		}
		p.lying.Add(g.heading)
		for _, line := range wanted.Lines {
			g.all = append(g.all, line.Index)
			if folded {
				continue
			}
			r := newRow(&p.histories[line.Index])
			g.rows = append(g.rows, r)
			for _, object := range r.objects() {
				p.lying.Add(object)
			}
		}
		p.groups = append(p.groups, g)
	}
	p.lying.Add(p.heading)
	for range states {
		s := stateLine{widget.NewLabel("").Elastic(), widget.NewText("").Bold().Right()}
		p.lying.Add(s.name)
		p.lying.Add(s.words)
		p.states = append(p.states, s)
	}
	p.still.RedrawAll()
	p.object.Refresh()
}

// fold hides the rows of a group, or shows them again. What is out of its limits is always seen.
func (p *Pane) fold(group int) {
	name := p.groups[group].name
	if name == view.OutOfLimits {
		return
	}
	p.folded[name] = !p.folded[name]
	p.groups = nil // all rows are made again
	now := p.now
	now.Full = true
	p.Show(now)
	p.list.Refresh()
}

// scrollTo scrolls a line into sight.
func (p *Pane) scrollTo(at *line) {
	top, height := p.scroll.Offset.Y, p.scroll.Size().Height
	switch {
	case at.top < top:
		p.scroll.ScrollToOffset(fyne.NewPos(0, at.top))
	case at.top+at.height > top+height:
		p.scroll.ScrollToOffset(fyne.NewPos(0, at.top+at.height-height))
	}
}
