package widget

import (
	"image/color"
	"maps"
	"math"
	"testing"
)

// visions are how colours look to who lacks one of the three cones: Machado,
// Oliveira and Fernandes, "A Physiologically-based Model for Simulation of
// Color Vision Deficiency" (IEEE Transactions on Visualization and Computer Graphics 15, 2009), severity 1, for
// linear red, green and blue; from memory, the rows add up to one.
var visions = map[string][3][3]float64{
	"no red cones": {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216},
		{-0.003882, -0.048116, 1.051998}},
	"no green cones": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413},
		{-0.011820, 0.042940, 0.968881}},
	"no blue cones": {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602},
		{0.004733, 0.691367, 0.303900}},
}

// linear is a channel as light: IEC 61966-2-1 (sRGB).
func linear(v uint8) float64 {
	c := float64(v) / 255
	if c <= 0.04045 {
		return c / 12.92
	}
	return math.Pow((c+0.055)/1.055, 2.4)
}

func encoded(v float64) uint8 {
	v = max(0, min(1, v))
	if v <= 0.0031308 {
		v *= 12.92
	} else {
		v = 1.055*math.Pow(v, 1/2.4) - 0.055
	}
	return uint8(math.Round(255 * v))
}

// seen is a colour as it looks with a vision.
func seen(c color.NRGBA, m [3][3]float64) color.NRGBA {
	light := [3]float64{linear(c.R), linear(c.G), linear(c.B)}
	var out [3]uint8
	for i, row := range m {
		out[i] = encoded(row[0]*light[0] + row[1]*light[1] + row[2]*light[2])
	}
	return color.NRGBA{R: out[0], G: out[1], B: out[2], A: 255}
}

// apart is how different two colours look: the distance in CIELAB (CIE 15, D65), of which 2.3 is just noticeable.
func apart(a, b color.NRGBA) float64 {
	lab := func(c color.NRGBA) [3]float64 {
		r, g, bl := linear(c.R), linear(c.G), linear(c.B)
		f := func(v float64) float64 {
			if v > 216.0/24389 {
				return math.Cbrt(v)
			}
			return (24389.0/27*v + 16) / 116
		}
		x := f((0.4124*r + 0.3576*g + 0.1805*bl) / 0.9505)
		y := f(0.2126*r + 0.7152*g + 0.0722*bl)
		z := f((0.0193*r + 0.1192*g + 0.9505*bl) / 1.089)
		return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
	}
	p, q := lab(a), lab(b)
	return math.Sqrt((p[0]-q[0])*(p[0]-q[0]) + (p[1]-q[1])*(p[1]-q[1]) + (p[2]-q[2])*(p[2]-q[2]))
}

func TestVisionsKeepGrey(t *testing.T) {
	for name, m := range visions {
		for i, row := range m {
			if sum := row[0] + row[1] + row[2]; math.Abs(sum-1) > 1e-5 {
				t.Errorf("%s: row %d adds up to %v", name, i, sum)
			}
		}
	}
}

// Whoever lacks a kind of cones reads everything as well (WCAG 2.2, 1.4.3), and
// tells apart what a colour alone tells apart. Warnings and alarms have marks of
// their own shape: ▲ and ■.
func TestPalettesWithoutACone(t *testing.T) {
	all := maps.Clone(visions)
	all["all cones"] = [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	for _, p := range Palettes() {
		for name, m := range all {
			for ground, g := range map[string]color.NRGBA{"background": p.Background, "pane": p.Pane, "well": p.Well} {
				for ink, c := range map[string]color.NRGBA{"text": p.Text, "dim": p.Dim, "setpoint": p.Setpoint,
					"measured": p.Measured, "warning": p.Warning, "alarm": p.Alarm} {
					if got := Contrast(seen(c, m), seen(g, m)); got < 4.5 {
						t.Errorf("%s, %s: %s on %s has a contrast of %.2f", p.Name, name, ink, ground, got)
					}
				}
			}
			for pair, two := range map[string][2]color.NRGBA{
				"commanded and measured": {p.Setpoint, p.Measured}, "warning and text": {p.Warning, p.Text},
				"alarm and text": {p.Alarm, p.Text}, "Moon and Sun": {p.Moon, p.Sun},
				"Moon and warning": {p.Moon, p.Warning}, "Sun and warning": {p.Sun, p.Warning},
			} {
				if got := apart(seen(two[0], m), seen(two[1], m)); got < 9 {
					t.Errorf("%s, %s: %s are only %.1f apart", p.Name, name, pair, got)
				}
			}
		}
	}
}
