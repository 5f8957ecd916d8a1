package controls

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// maxBandButtons is how many bands have a button each; more go in a drop-down.
const maxBandButtons = 3

// Band chooses the band and its feed: one act that changes beamwidth, trim,
// squint, meter and closed sectors.
type Band struct {
	object fyne.CanvasObject
	with   widget.Context
	now    view.Now

	beam    *widget.Text
	row     *fyne.Container
	buttons []*widget.Button // one a band, or the one that opens the list
	feed    *widget.Button
	bands   []desk.Band
}

// NewBand returns the band and feed selector.
func NewBand(with widget.Context) *Band {
	b := &Band{with: with, beam: widget.NewLabel("").Right().Elastic().Named("beamwidth")}
	b.feed = widget.NewButton("Feed ▾", "feed-select", "Choose the feed of this band", b.openFeeds).Tight()
	b.row = container.NewStack()
	head := widget.Row(8, widget.Fixed(widget.NewLabel("Band and feed")),
		widget.Sharing(widget.NewWhole("beamwidth-in-full", b.beam, with.InFull)))
	b.object = widget.Column(4, widget.Fixed(head), widget.Part{Object: b.row, Min: 27})
	return b
}

// Title implements widget.Pane.
func (b *Band) Title() string { return "Band" }

// Object implements widget.Pane.
func (b *Band) Object() fyne.CanvasObject { return b.object }

// Show implements widget.Pane.
func (b *Band) Show(now view.Now) {
	b.now = now
	if now.Scene != nil && !slices.EqualFunc(b.bands, now.Scene.Bands, sameBand) {
		b.build(now.Scene.Bands)
	}
	b.beam.SetWords(view.BeamWords(now))
	if len(b.bands) > maxBandButtons {
		b.buttons[0].Set(now.Band.Name+" ▾", widget.Chosen)
	} else {
		for index, button := range b.buttons {
			button.Choose(index == now.BandIndex)
		}
	}
	if len(now.Band.Feeds) > 1 {
		b.feed.Set(now.Band.Feed+" ▾", widget.Quiet)
	}
	if b.feed.Visible() != (len(now.Band.Feeds) > 1) {
		b.showFeed(len(now.Band.Feeds) > 1)
	}
}

func sameBand(a, b desk.Band) bool { return a.Name == b.Name && slices.Equal(a.Feeds, b.Feeds) }

// build makes the buttons again: the list of bands has changed.
func (b *Band) build(bands []desk.Band) {
	b.bands, b.buttons = slices.Clone(bands), nil
	parts := []widget.Part{}
	if len(bands) > maxBandButtons {
		b.buttons = append(b.buttons, widget.NewButton("Band ▾", "band-select", "Choose the band", b.openBands))
	} else {
		for index, band := range bands {
			b.buttons = append(b.buttons, widget.NewButton(band.Name, "band-"+band.Name,
				"Work on "+band.Name+": beamwidth, trim, squint, meter and closed sectors change with it",
				func() { b.choose(index, 0) }).Tight())
		}
	}
	for _, button := range b.buttons {
		parts = append(parts, widget.Sharing(button))
	}
	parts = append(parts, widget.Sharing(b.feed))
	b.row.Objects = []fyne.CanvasObject{widget.Row(6, parts...)}
	b.row.Refresh()
}

func (b *Band) showFeed(shown bool) {
	if shown {
		b.feed.Show()
	} else {
		b.feed.Hide()
	}
	for _, object := range b.row.Objects {
		object.Refresh()
	}
}

func (b *Band) choose(band, feed int) {
	b.with.Desk.Ask(desk.BandTo{Band: band, Feed: feed})
}

func (b *Band) openBands() {
	items := make([]widget.Item, len(b.bands))
	for index, band := range b.bands {
		items[index] = widget.Item{
			Words: band.Name, Name: "band-" + band.Name, Chosen: index == b.now.BandIndex,
			Act: func() { b.choose(index, 0) },
		}
	}
	b.with.Open.ShowItems("band-list", b.buttons[0], items)
}

func (b *Band) openFeeds() {
	items := make([]widget.Item, len(b.now.Band.Feeds))
	for index, feed := range b.now.Band.Feeds {
		items[index] = widget.Item{
			Words: feed, Name: "feed-" + feed, Chosen: index == b.now.Feed,
			Act: func() { b.choose(b.now.BandIndex, index) },
		}
	}
	b.with.Open.ShowItems("feed-list", b.feed, items)
}
