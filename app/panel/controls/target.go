// Package controls holds what the operator acts with: target, track and hold,
// band and feed, trims, drives, permit, and the sheets that they open.
package controls

import (
	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Target chooses the target and follows it.
type Target struct {
	object fyne.CanvasObject
	with   widget.Context
	now    view.Now

	height, doubt            *widget.Text
	doubtful                 *widget.Whole // holds doubt
	moon, sun, source, place *widget.Button
	track, hold              *widget.Button
}

// NewTarget returns the choice of target with track and hold.
func NewTarget(with widget.Context) *Target {
	t := &Target{
		with:   with,
		height: widget.NewLabel("").Right().Elastic().Named("target-height"),
		doubt:  widget.NewLabel("").Elastic().Named("target-doubt"),
	}
	t.moon = widget.NewButton("Moon", "moon", "Make the Moon the target", func() { t.choose(desk.Moon) }).Tight()
	t.sun = widget.NewButton("Sun", "sun", "Make the Sun the target", func() { t.choose(desk.Sun) }).Tight()
	t.source = widget.NewButton("Source ▾", "source-select", "Make a radio source the target", t.openSources).Tight()
	t.place = widget.NewButton("Place…", "place-button", "Enter a place, or right ascension and declination",
		t.openPlace).Tight()
	t.track = widget.NewButton("Track", "track", "Follow the target, or end following it (Ctrl+T)",
		t.Track).Sized(16).Reserve("Waiting to rise")
	t.hold = widget.NewButton("Hold here", "hold", "Bring the axes to rest and hold them (Ctrl+H)",
		t.Hold).Looking(widget.Filled)
	head := widget.Row(8, widget.Fixed(widget.NewLabel("Target")),
		widget.Sharing(widget.NewWhole("target-height-in-full", t.height, with.InFull)))
	choice := widget.Row(6, widget.Sharing(t.moon), widget.Sharing(t.sun), widget.Sharing(t.source),
		widget.Sharing(t.place))
	follow := widget.Row(6, widget.Part{Object: t.track, Share: 3}, widget.Part{Object: t.hold, Share: 2})
	t.doubtful = widget.NewWhole("target-doubt-in-full", t.doubt, with.InFull)
	t.object = widget.Column(5, widget.Fixed(head), widget.Fixed(choice),
		widget.Part{Object: follow, Min: 36}, widget.Fixed(t.doubtful))
	t.doubtful.Hide()
	return t
}

// Title implements widget.Pane.
func (t *Target) Title() string { return "Target" }

// Object implements widget.Pane.
func (t *Target) Object() fyne.CanvasObject { return t.object }

// Show implements widget.Pane.
func (t *Target) Show(now view.Now) {
	t.now = now
	chosen := now.Target.Choice
	t.moon.Choose(chosen.Kind == desk.Moon)
	t.sun.Choose(chosen.Kind == desk.Sun)
	words := "Source ▾"
	if chosen.Kind == desk.Source {
		words = chosen.Name + " ▾"
	}
	t.source.Set(words, looks(chosen.Kind == desk.Source))
	t.place.Choose(chosen.Kind == desk.Fixed || chosen.Kind == desk.Radec)
	t.source.SetEnabled(len(now.Sources) > 0)

	blocked := view.TrackBlocked(now)
	following := view.Following(now)
	if following {
		t.track.Set(view.TrackWords(now), widget.Chosen)
	} else {
		t.track.Set(view.TrackWords(now), widget.Primary)
	}
	t.track.SetEnabled(now.Live && (following || blocked == ""))
	t.hold.SetEnabled(now.Live && !now.Lock.Locked && now.Power == desk.PowerOn)
	note := view.TargetHeight(now)
	if blocked != "" && (!following || !now.Live) {
		note = blocked
	}
	t.height.SetWords(note)
	t.doubt.SetWords(view.Sentence(now.Target.Dubious.String()))
	if t.doubtful.Visible() != (now.Target.Dubious.Code != "") {
		if now.Target.Dubious.Code != "" {
			t.doubtful.Show()
		} else {
			t.doubtful.Hide()
		}
		t.object.Refresh()
	}
}

func looks(chosen bool) widget.Look {
	if chosen {
		return widget.Chosen
	}
	return widget.Quiet
}

// Track follows the target, or ends following it.
func (t *Target) Track() {
	if t.track.Disabled() {
		return
	}
	t.with.Desk.Ask(desk.Track{On: !view.Following(t.now)})
}

// Hold brings the axes to rest.
func (t *Target) Hold() {
	if !t.hold.Disabled() {
		t.with.Desk.Ask(desk.Hold{})
	}
}

// Choose makes the Moon or the Sun the target.
func (t *Target) choose(kind desk.BodyKind) {
	t.with.Desk.Ask(desk.Choose{Body: desk.BodyChoice{Kind: kind}})
}

// Moon makes the Moon the target.
func (t *Target) Moon() { t.choose(desk.Moon) }

// Sun makes the Sun the target.
func (t *Target) Sun() { t.choose(desk.Sun) }

func (t *Target) openSources() {
	if t.now.Status == nil || len(t.now.Sources) == 0 {
		return
	}
	chosen := t.now.Target.Choice
	var items []widget.Item
	for _, line := range view.SourceLines(t.now) {
		items = append(items, widget.Item{
			Words: line.Name, Name: "source-" + line.Name, Tip: "Make " + line.Name + " the target: " + line.Words,
			Cells: []string{line.Flux, line.Elevation, line.Pass}, Faint: !line.Up, Also: line.Words,
			Chosen: chosen.Kind == desk.Source && chosen.Name == line.Name,
			Act: func() {
				t.with.Desk.Ask(desk.Choose{Body: desk.BodyChoice{Kind: desk.Source, Name: line.Name}})
			},
		})
	}
	t.with.Open.ShowSearched("source-list", t.source, widget.Search{Hint: "name of a source",
		None: "No source matches", Heads: view.SourceHeads(t.now)}, items)
}
