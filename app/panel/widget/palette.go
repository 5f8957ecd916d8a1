package widget

import (
	"image/color"
	"math"
)

// Palette is one set of colours for the whole window. Greys carry the normal
// state; amber and red are kept for warnings and alarms, the stop control is
// the one exception.
type Palette struct {
	Name string

	Background color.NRGBA // behind the panes
	Pane       color.NRGBA // a pane
	Well       color.NRGBA // the ground of a plot or an entry
	Raised     color.NRGBA // a filled button, a bar's track
	Line       color.NRGBA // grid lines and separators
	Hatch      color.NRGBA // limits and structures
	Ground     color.NRGBA // below the horizon
	Transmit   color.NRGBA // a period in which the transmitter was keyed

	Text  color.NRGBA // words
	Dim   color.NRGBA // labels and what matters less
	Mark  color.NRGBA // outlines of controls, small marks
	Old   color.NRGBA // figures that are not live
	Focus color.NRGBA // the ring round the control that has the keyboard

	Setpoint   color.NRGBA // what is asked for
	OnSetpoint color.NRGBA // words on a filled Setpoint
	Measured   color.NRGBA // what is measured
	Moon       color.NRGBA
	OnMoon     color.NRGBA // marks drawn over the Moon's disc
	Sun        color.NRGBA
	Source     color.NRGBA // radio sources

	Warning, OnWarning color.NRGBA
	Alarm, OnAlarm     color.NRGBA
	Stop, OnStop       color.NRGBA // the stop control, filled
	StopLine           color.NRGBA // the stop control, outlined
}

// rgb returns the opaque colour 0xRRGGBB.
func rgb(v uint32) color.NRGBA {
	return color.NRGBA{R: uint8(v >> 16), G: uint8(v >> 8), B: uint8(v), A: 0xff}
}

// Day returns the palette for a bright room: dark on light.
func Day() *Palette {
	return &Palette{
		Name:       "day",
		Background: rgb(0xd0d7db), Pane: rgb(0xe6ebee), Well: rgb(0xf6f8f9), Raised: rgb(0xcbd3d8),
		Line: rgb(0xb9c2c8), Hatch: rgb(0x8f9ba3), Ground: rgb(0xb7cdb9), Transmit: rgb(0xd3dae4),
		Text: rgb(0x12181c), Dim: rgb(0x414e57), Mark: rgb(0x5d6b75), Old: rgb(0x505d66), Focus: rgb(0x0b4f8a),
		Setpoint: rgb(0x006359), OnSetpoint: rgb(0xffffff), Measured: rgb(0x000000),
		Moon: rgb(0x4c479c), OnMoon: rgb(0xffffff), Sun: rgb(0x443600), Source: rgb(0x4a5561),
		Warning: rgb(0x8a3c00), OnWarning: rgb(0xffffff), Alarm: rgb(0xa2120c), OnAlarm: rgb(0xffffff),
		Stop: rgb(0xc22a22), OnStop: rgb(0xffffff), StopLine: rgb(0xa8140d),
	}
}

// Dusk returns the palette for a room with the lights low: light on dark.
func Dusk() *Palette {
	return &Palette{
		Name:       "dusk",
		Background: rgb(0x14181b), Pane: rgb(0x1d2428), Well: rgb(0x0f1214), Raised: rgb(0x323c43),
		Line: rgb(0x313b42), Hatch: rgb(0x4d5962), Ground: rgb(0x2c3f35), Transmit: rgb(0x262d36),
		Text: rgb(0xe8edf0), Dim: rgb(0xa8b4bd), Mark: rgb(0x7d8b95), Old: rgb(0x8d99a2), Focus: rgb(0x9cc9ff),
		Setpoint: rgb(0x57c4b7), OnSetpoint: rgb(0x07201d), Measured: rgb(0xffffff),
		Moon: rgb(0xe0d8b4), OnMoon: rgb(0x1d1a0e), Sun: rgb(0xd9b46a), Source: rgb(0xaab6bf),
		Warning: rgb(0xf0a538), OnWarning: rgb(0x1f1400), Alarm: rgb(0xff7168), OnAlarm: rgb(0x1f0000),
		Stop: rgb(0xc8372f), OnStop: rgb(0xffffff), StopLine: rgb(0xff7a72),
	}
}

// Dim returns the palette for dark-adapted eyes: as dusk, with little light.
func Dim() *Palette {
	return &Palette{
		Name:       "dim",
		Background: rgb(0x090b0c), Pane: rgb(0x0f1214), Well: rgb(0x060708), Raised: rgb(0x1b2125),
		Line: rgb(0x20272b), Hatch: rgb(0x323b41), Ground: rgb(0x17221c), Transmit: rgb(0x15191e),
		Text: rgb(0xa7b0b5), Dim: rgb(0x848f96), Mark: rgb(0x647078), Old: rgb(0x7a858c), Focus: rgb(0x6f93bd),
		Setpoint: rgb(0x439a90), OnSetpoint: rgb(0x020a09), Measured: rgb(0xc6ccd0),
		Moon: rgb(0xa59e80), OnMoon: rgb(0x0c0b06), Sun: rgb(0x9f8349), Source: rgb(0x848f96),
		Warning: rgb(0xbb7f2c), OnWarning: rgb(0x0c0800), Alarm: rgb(0xe46860), OnAlarm: rgb(0x0c0000),
		Stop: rgb(0x7e231e), OnStop: rgb(0xdcdcdc), StopLine: rgb(0xd05c55),
	}
}

// Palettes returns every palette, in the order in which they are offered.
func Palettes() []*Palette { return []*Palette{Day(), Dusk(), Dim()} }

// Contrast returns the contrast ratio of two opaque colours, 1 to 21.
// Source: WCAG 2.2, definitions of contrast ratio and relative luminance.
func Contrast(a, b color.NRGBA) float64 {
	la, lb := luminance(a), luminance(b)
	return (math.Max(la, lb) + 0.05) / (math.Min(la, lb) + 0.05)
}

func luminance(c color.NRGBA) float64 {
	linear := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

// Fade returns a colour with the given opacity, 0 to 1.
func Fade(c color.NRGBA, opacity float64) color.NRGBA {
	c.A = uint8(math.Round(255 * opacity))
	return c
}

// Seen returns a colour as it is painted. What can't be seen is color.Transparent, which
// alone Fyne leaves out: any other colour without opacity is blended over the whole area.
func Seen(c color.NRGBA) color.Color {
	if c.A == 0 {
		return color.Transparent
	}
	return c
}
