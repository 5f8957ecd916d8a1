package setup

import (
	"fmt"
	"math"
	"os"
	"strings"

	"fyne.io/fyne/v2"

	"beamhelm/app/panel/widget"
	"beamhelm/app/settings"
	"beamhelm/app/view"
	"beamhelm/ephem/locator"
)

// bringers are the rows of a chapter that bring values from elsewhere: the
// place from a locator, the horizon from a file, the port from those found.
func (p *Pane) bringers(section string) []widget.Part {
	switch section {
	case "link":
		return []widget.Part{widget.Fixed(widget.NewButton("Ports found…", "setup-ports", "The serial ports of this computer", p.findPorts).Tight().Sized(widget.SmallText))}
	case "station":
		return []widget.Part{bringer("setup-locator", "IO85ma", "Place of a locator", "Take the middle of this locator's field as the place (Enter)", p.takeLocator)}
	case "structures":
		return []widget.Part{bringer("setup-horizon", "/home/…/horizon.csv", "Import horizon", "Take the horizon from a CSV file of azimuth,elevation in degrees (Enter)", p.takeHorizon)}
	}
	return nil
}

// bringer is a line to type in, with a button that takes it.
func bringer(name, hint, words, tip string, take func(string)) widget.Part {
	entry := widget.NewEntry(name+"-entry", hint)
	entry.Scroll = fyne.ScrollHorizontalOnly
	entry.OnSubmitted = take
	button := widget.NewButton(words, name, tip, func() { take(entry.Text) }).Tight().Sized(widget.SmallText)
	var row fyne.CanvasObject = widget.Row(6, widget.Part{Object: entry, Share: 1, Least: 120}, widget.Fixed(button))
	return widget.Fixed(row)
}

// takeLocator takes the place from a locator, to as many decimals as it is good for.
func (p *Pane) takeLocator(text string) {
	lat, lon, halfLat, _, err := locator.Parse(strings.TrimSpace(text))
	if err != nil {
		p.say(err.Error())
		return
	}
	decimals := max(2, int(math.Ceil(-math.Log10(halfLat.Deg())))+1)
	wrong := p.draft.Set("station.latitude_deg", fmt.Sprintf("%.*f", decimals, lat.Deg()))
	if wrong == "" {
		wrong = p.draft.Set("station.longitude_deg", fmt.Sprintf("%.*f", decimals, lon.Deg()))
	}
	p.build()
	if wrong == "" {
		p.told.Set(fmt.Sprintf("Good to %.1f km: type your own place where you know it better", halfLat.Deg()*111.2), view.Plain)
	}
	p.say(wrong)
}

// takeHorizon takes the horizon from a file.
func (p *Pane) takeHorizon(path string) {
	file, err := os.Open(strings.TrimSpace(path))
	if err != nil {
		p.say(err.Error())
		return
	}
	defer file.Close()
	points, err := settings.ParseHorizon(file)
	if err != nil {
		p.say(err.Error())
		return
	}
	wrong := p.draft.Set("horizon.points", settings.WrittenHorizon(points))
	p.build()
	p.say(wrong)
}
