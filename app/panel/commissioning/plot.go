package commissioning

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/software"

	"beamhelm/app/commission"
	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// plot charts the speed of each axis against the drive, a point for each push
// and the line that is laid through them.
type plot struct {
	charts  [2]*chart.Plot
	words   [2]*widget.Text
	object  fyne.CanvasObject
	figures [2]commission.Figures
	newest  time.Time // the push drawn last
	has     bool
}

func newPlot(with widget.Context) *plot {
	p := &plot{}
	var sides []widget.Part
	for axis := range p.charts {
		p.charts[axis] = chart.NewPlot(with, [...]string{"pushes-azimuth", "pushes-elevation"}[axis])
		p.words[axis] = widget.NewLabel("").Elastic()
		sides = append(sides, widget.Sharing(widget.Column(2,
			widget.Part{Object: p.charts[axis].Object(), Share: 1, Min: 130}, widget.Fixed(p.words[axis]))))
	}
	p.object = widget.Row(8, sides...)
	return p
}

func (p *plot) show(c *desk.Commissioning) {
	newest := time.Time{}
	if n := len(c.State.Pushes); n > 0 {
		newest = c.State.Pushes[n-1].At
	}
	is := [2]commission.Figures{c.State.Figures(c.Config, 0), c.State.Figures(c.Config, 1)}
	if p.has && newest.Equal(p.newest) && is == p.figures {
		return
	}
	p.has, p.newest, p.figures = true, newest, is
	for axis := range p.charts {
		p.charts[axis].Show(pushPlot(c, axis, is[axis]))
		words := "no steady push yet"
		if f := is[axis]; f.HasTop {
			words = fmt.Sprintf("%.2f°/s at full drive, from %.0f %%", f.Top, 100*f.Dead)
		}
		p.words[axis].SetWords(words)
	}
}

// pushPlot is the speeds of an axis by the drive, and the line through them.
func pushPlot(c *desk.Commissioning, axis int, f commission.Figures) view.Plot {
	p := view.Plot{Title: [...]string{"Azimuth", "Elevation"}[axis] + ": speed by drive", Unit: "°/s", XUnit: "%",
		Decimals: 3, None: "no steady push yet"}
	measured := view.Series{Name: "measured", Look: view.Discs}
	for _, push := range c.State.Pushes {
		if push.Axis == axis && push.Steady {
			measured.X = append(measured.X, 100*math.Abs(push.Drive))
			measured.Y = append(measured.Y, math.Abs(push.PerS*f.DegPerCount))
		}
	}
	p.Add(measured)
	if f.HasTop {
		p.Add(view.Series{Name: "fit", X: []float64{100 * f.Dead, 100}, Y: []float64{0, f.Top}})
	}
	if p.Has() || len(measured.X) > 0 {
		p.Left, p.Right, p.Low, p.High = 0, 100, 0, max(0.1, 1.1*p.High)
	}
	return p
}

// sheet is the report as a picture: its words but for the list of pushes, and the charts.
func sheet(c *desk.Commissioning) image.Image {
	words := strings.TrimRight(c.State.StepsText(c.Config, c.Now), "\n")
	var parts []widget.Part
	for i, line := range strings.Split(words, "\n") {
		text := widget.NewText(line).Small()
		if i == 0 {
			text = widget.NewText(line).Bold()
		}
		indent := float32(len(line)-len(strings.TrimLeft(line, " "))) * 5
		text.SetWords(strings.TrimSpace(line))
		parts = append(parts, widget.Fixed(widget.Row(0, widget.Space(indent), widget.Fixed(text))))
	}
	charts := newPlot(widget.Context{})
	charts.show(c)
	parts = append(parts, widget.Part{Object: charts.object, Min: 200})
	body := widget.Padded(widget.Column(3, parts...), 20, 20)
	ground := widget.NewGround(func(p *widget.Palette) color.NRGBA { return p.Background }, 0)
	whole := container.NewStack(ground, body)
	whole.Resize(body.MinSize())
	return software.Render(whole, fyne.CurrentApp().Settings().Theme())
}
