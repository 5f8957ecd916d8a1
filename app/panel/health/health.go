// Package health shows every reading of the enclosure with its last ten minutes
// and its band, and the switches.
package health

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Pane is the pane Health.
type Pane struct {
	object   *fyne.Container
	scroll   *container.Scroll
	groups   []group
	switches []switchLine
	heading  *widget.Text // over the switches

	histories [desk.ReadingCount]history
	fresh     [desk.ReadingCount]bool // a column began since the row was shown
	grade     desk.Grade
	crossed   string // which rows show a limit: the layout depends on it
}

// group is a heading with its rows.
type group struct {
	heading *widget.Text
	name    string
	rows    []*row
}

// switchLine is one switch.
type switchLine struct{ name, state *widget.Text }

// New returns the pane.
func New() *Pane {
	p := &Pane{heading: widget.NewLabel("Switches").Bold()}
	p.object = container.New((*arrangement)(p))
	p.scroll = container.NewVScroll(p.object)
	p.scroll.SetMinSize(fyne.NewSize(leastWidth, 300))
	return p
}

// Title implements widget.Pane.
func (p *Pane) Title() string { return "Health" }

// Object implements widget.Pane.
func (p *Pane) Object() fyne.CanvasObject { return p.scroll }

// Grade returns the worst grade of all readings and switches.
func (p *Pane) Grade() desk.Grade { return p.grade }

// Watch takes the readings into the histories, whether the pane is visible or not.
func (p *Pane) Watch(now view.Now) {
	p.grade = view.HealthGrade(now)
	if !now.Live {
		return
	}
	for index := range now.Readings {
		reading := &now.Readings[index]
		if reading.Fitted && reading.Words == "" && reading.Value == reading.Value {
			if p.histories[index].add(now.At, reading.Value) {
				p.fresh[index] = true
			}
		}
	}
}

// Show implements widget.Pane: figures at every fifth tick, as often as readings come.
func (p *Pane) Show(now view.Now) {
	if now.Tick%5 != 0 {
		return
	}
	groups := view.Groups(now)
	if !p.same(groups, now.Switches) {
		p.build(groups, now.Switches)
	}
	crossed := ""
	for g, shown := range groups {
		for i, line := range shown.Lines {
			p.groups[g].rows[i].show(line, now.Readings[line.Index], p.fresh[line.Index])
			p.fresh[line.Index] = false
			crossed += line.Crossed + "|"
		}
	}
	for i, item := range now.Switches {
		tone := view.GradeTone(item.Grade, view.Plain)
		if !now.Live {
			tone = view.Old
		}
		p.switches[i].name.SetWords(item.Name)
		p.switches[i].state.Set(item.Words, tone)
	}
	if crossed != p.crossed {
		p.crossed = crossed
		p.object.Layout.Layout(nil, p.object.Size())
	}
}

// same says whether the rows that stand are those wanted.
func (p *Pane) same(groups []view.ReadingGroup, switches []desk.Switch) bool {
	return len(p.switches) == len(switches) &&
		slices.EqualFunc(p.groups, groups, func(have group, want view.ReadingGroup) bool {
			return have.name == want.Name && len(have.rows) == len(want.Lines)
		})
}

// build makes the rows anew.
func (p *Pane) build(groups []view.ReadingGroup, switches []desk.Switch) {
	p.groups, p.switches = nil, nil
	p.object.RemoveAll()
	for _, wanted := range groups {
		g := group{name: wanted.Name, heading: widget.NewLabel(wanted.Name).Bold()}
		p.object.Add(g.heading)
		for _, line := range wanted.Lines {
			r := newRow(&p.histories[line.Index])
			g.rows = append(g.rows, r)
			for _, object := range r.objects() {
				p.object.Add(object)
			}
		}
		p.groups = append(p.groups, g)
	}
	p.object.Add(p.heading)
	for range switches {
		s := switchLine{widget.NewLabel("").Elastic(), widget.NewText("").Bold().Right()}
		p.object.Add(s.name)
		p.object.Add(s.state)
		p.switches = append(p.switches, s)
	}
	p.scroll.Refresh()
}
