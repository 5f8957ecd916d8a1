package setup

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"time"

	"fyne.io/fyne/v2"

	"beamhelm/app/panel/offwindow"
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
		ports := p.portsButton("Ports found…", "setup-ports", "link.port")
		look := widget.NewButton("Look at the enclosure…", "setup-look", "Reads who answers on this line, and its "+
			"registers; nothing is written, and what is typed need not be saved",
			p.openLook).Tight().Sized(widget.SmallText)
		board := widget.NewButton("Enclosure firmware…", "setup-firmware", "Writes the firmware that Beamhelm "+
			"carries to an ATmega2560 board, or compares the board with it; only with drive power off",
			p.firmware.open).Tight().Sized(widget.SmallText)
		return []widget.Part{widget.Fixed(widget.Row(6, widget.Fixed(ports), widget.Fixed(look), widget.Spring())),
			widget.Fixed(widget.Row(6, widget.Fixed(board), widget.Spring()))}
	case "radio":
		return append([]widget.Part{widget.Fixed(widget.Row(6,
			widget.Fixed(p.portsButton("Radio's port…", "setup-radio-ports", "radio.port")),
			widget.Fixed(p.portsButton("Keying port…", "setup-keying-ports", "keying.port")), widget.Spring()))},
			p.toneOutputRows()...)
	case "station":
		return []widget.Part{bringer("setup-locator", "IO85ma", "Place of a locator",
			"Take the middle of this locator's field as the place (Enter)", p.takeLocator)}
	case "structures":
		here := widget.NewButton("Horizon: add where the dish looks", "setup-horizon-here",
			"Drive along the horizon, the beam on its edge, and add a point at each place",
			p.takeHere).Tight().Sized(widget.SmallText)
		return []widget.Part{bringer("setup-horizon", "/home/…/horizon.csv", "Import horizon",
			"Take the horizon from a CSV file of azimuth,elevation in degrees (Enter)", p.takeHorizon),
			widget.Fixed(widget.Row(6, widget.Fixed(here), widget.Spring()))}
	case "park":
		year := widget.NewButton("A year of the Sun…", "setup-sun-year",
			"On which days the Sun comes to park and stow places as they stand here",
			p.openSunYear).Tight().Sized(widget.SmallText)
		return []widget.Part{widget.Fixed(widget.Row(6, widget.Fixed(year), widget.Spring()))}
	case "audio":
		return p.hearingRows()
	case "dish", "bands":
		return p.beams()
	case beside:
		return p.besideRows()
	}
	return nil
}

// portsButton offers the serial ports for a key.
func (p *Pane) portsButton(words, name, key string) *widget.Button {
	find := func() { p.findPorts(key) }
	return widget.NewButton(words, name, "The serial ports of this computer", find).Tight().Sized(widget.SmallText)
}

// beside is the section of what is kept outside the settings file.
const beside = "beside"

// Beside is something that the operator sets elsewhere, kept at once and outside
// the settings file: Open opens it, at the button that asks for it, Why says what it is.
type Beside struct {
	Words, Name, Why string
	Open             func(at fyne.CanvasObject)
}

// Offer shows in Set-up what is set elsewhere.
func (p *Pane) Offer(besides ...Beside) {
	p.besides = besides
	p.build()
}

func (p *Pane) besideRows() (parts []widget.Part) {
	parts = append(parts, widget.Fixed(widget.Paragraph("Not in the settings file: stored at once, without Save",
		aboutLetters, view.Faint)))
	for _, b := range p.besides {
		button := widget.NewButton(b.Words, b.Name, b.Why, nil).Tight().Sized(widget.SmallText)
		button.SetAct(func() { b.Open(button) })
		why := widget.Paragraph(b.Why, aboutLetters, view.Plain)
		parts = append(parts, widget.Space(6), widget.Fixed(
			widget.Column(4, widget.Fixed(why), widget.Fixed(widget.Row(6, widget.Fixed(button), widget.Spring())))))
	}
	return parts
}

// bringer is a line to type in, with a button that takes it.
func bringer(name, hint, words, tip string, take func(string)) widget.Part {
	entry := widget.NewEntry(name+"-entry", hint)
	entry.OnSubmitted = take
	button := widget.NewButton(words, name, tip, func() { take(entry.Text) }).Tight().Sized(widget.SmallText)
	var row fyne.CanvasObject = widget.Row(6, widget.Part{Object: entry, Share: 1, Min: 120}, widget.Fixed(button))
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
		p.told.Set(fmt.Sprintf("Good to %.1f km: type your own place where you know it better", halfLat.Deg()*111.2),
			view.Plain)
	}
	p.say(wrong)
}

// takeHere adds the place where the dish looks to the horizon.
func (p *Pane) takeHere() {
	if p.now.Status == nil || !p.now.Live {
		p.say("nothing is known of where the dish looks")
		return
	}
	az, el := p.now.Axes[view.Azimuth], p.now.Axes[view.Elevation]
	if !az.Trusted || !el.Trusted || az.Moving || el.Moving {
		p.say("the axes must be referenced and the dish stopped")
		return
	}
	at := settings.Point{AzDeg: math.Mod(math.Mod(math.Round(az.Position.Deg()*10)/10, 360)+360, 360),
		ElDeg: math.Round(el.Position.Deg()*10) / 10}
	points := settings.WithHorizonPoint(p.draft.Settings().Horizon.Points, at)
	wrong := p.draft.Set("horizon.points", settings.WrittenHorizon(points))
	p.build()
	p.told.Set(fmt.Sprintf("%s, the newest at %.1f°, %.1f°", view.Count(len(points), "point", "points"), at.AzDeg,
		at.ElDeg), view.Plain)
	p.say(wrong)
}

// openSunYear works out what the Sun does to the places of rest, off Fyne's goroutine.
func (p *Pane) openSunYear() {
	draft := p.draft.Settings()
	opening(p, "Going through a year of the Sun…", time.Minute, func(ctx offwindow.Context) ([]string, error) {
		return p.keeper.SunYear(ctx, draft), nil
	}, func(lines []string) { p.showSunYear(draft.Dish.Finish == settings.Bare, lines) })
}

func (p *Pane) showSunYear(bare bool, lines []string) {
	var parts []widget.Part
	for i, line := range lines {
		parts = append(parts, widget.Fixed(widget.NewProse(line).Named(fmt.Sprintf("setup-sun-line-%d", i))))
	}
	words := "The dish isn't bare: sunlight is not brought to a focus as long as its finish is what the settings say."
	if bare {
		words = "A bare dish focuses sunlight: choose places where the Sun never comes, or cover the feed on " +
			"those days."
	}
	close := widget.NewButton("Close", "setup-sun-close", "Close this", nil)
	parts = append(parts, widget.Fixed(widget.NewNote(words)))
	p.with.Open.ShowSheet("setup-sun-dialog", "A year of the Sun", widget.Column(6, parts...),
		[]*widget.Button{close}, close)
}

// beams tells what dish, band and feed come to, by the formulas.
func (p *Pane) beams() (parts []widget.Part) {
	for i, line := range view.BeamLines(p.draft.Settings()) {
		p.beam = append(p.beam, widget.NewText(line).Small().Elastic().Named(fmt.Sprintf("setup-beam-%d", i)))
		parts = append(parts, widget.Fixed(p.beam[i]))
	}
	return append(parts, widget.Fixed(widget.Paragraph(view.BeamFormulas, aboutLetters, view.Faint)))
}

// takeHorizon takes the horizon from a file.
func (p *Pane) takeHorizon(path string) {
	inBackground(p, "Reading the horizon…", offwindow.Usual, func(ctx offwindow.Context) ([]settings.Point, error) {
		text, err := offwindow.Read(ctx, path)
		if err != nil {
			return nil, err
		}
		return settings.ParseHorizon(bytes.NewReader(text))
	}, func(points []settings.Point) {
		wrong := p.draft.Set("horizon.points", settings.WrittenHorizon(points))
		p.build()
		p.say(wrong)
	})
}
