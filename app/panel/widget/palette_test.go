package widget

import (
	"image/color"
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
)

func TestContrast(t *testing.T) {
	rows := []struct {
		name, source string
		a, b         uint32
		want         float64
	}{
		{"black and white", "WCAG 2.2: the ratio ranges to 21:1", 0x000000, 0xffffff, 21},
		{"a colour and itself", "WCAG 2.2: the ratio ranges from 1:1", 0x57c4b7, 0x57c4b7, 1},
		{"red on white", "worked by hand from the definition: 1.05 / (0.2126 + 0.05)", 0xff0000, 0xffffff, 3.998},
	}
	for _, row := range rows {
		for _, got := range []float64{Contrast(rgb(row.a), rgb(row.b)), Contrast(rgb(row.b), rgb(row.a))} {
			if math.Abs(got-row.want) > 0.001 {
				t.Errorf("%s (%s): contrast %.4f, want %.4f", row.name, row.source, got, row.want)
			}
		}
	}
}

// Text needs 4.5:1 and what is drawn 3:1 (WCAG 2.2, criteria 1.4.3 and 1.4.11, level AA).
func TestPalettesCanBeRead(t *testing.T) {
	const text, mark = 4.5, 3
	type pair struct {
		name     string
		on, ink  color.NRGBA
		required float64
	}
	for _, p := range Palettes() {
		var pairs []pair
		grounds := map[string]color.NRGBA{"background": p.Background, "pane": p.Pane, "well": p.Well}
		for name, ground := range grounds {
			for ink, c := range map[string]color.NRGBA{
				"text": p.Text, "dim": p.Dim, "old": p.Old, "want": p.Setpoint, "is": p.Measured, "moon": p.Moon,
				"sun":    p.Sun,
				"source": p.Source, "warning": p.Warning, "alarm": p.Alarm, "stop line": p.StopLine,
			} {
				pairs = append(pairs, pair{ink + " on " + name, ground, c, text})
			}
			pairs = append(pairs, pair{"mark on " + name, ground, p.Mark, mark},
				pair{"focus on " + name, ground, p.Focus, mark})
		}
		pairs = append(pairs,
			pair{"words on want", p.Setpoint, p.OnSetpoint, text},
			pair{"words on warning", p.Warning, p.OnWarning, text},
			pair{"words on alarm", p.Alarm, p.OnAlarm, text}, pair{"words on stop", p.Stop, p.OnStop, text},
			pair{"text on raised", p.Raised, p.Text, text}, pair{"text on transmit", p.Transmit, p.Text, text},
			pair{"dim on transmit", p.Transmit, p.Dim, text}, pair{"marks on moon", p.Moon, p.OnMoon, mark},
			pair{"is on ground", p.Ground, p.Measured, mark}, pair{"want on ground", p.Ground, p.Setpoint, mark},
			pair{"is on raised", p.Raised, p.Measured, mark},
			pair{"warning on its tint", over(Fade(p.Warning, 0.16), p.Pane), p.Warning, text},
			pair{"alarm on its tint", over(Fade(p.Alarm, 0.16), p.Pane), p.Alarm, text},
		)
		for _, row := range pairs {
			if got := Contrast(row.on, row.ink); got < row.required {
				t.Errorf("%s: %s has a contrast of %.2f, want %.1f", p.Name, row.name, got, row.required)
			}
		}
	}
}

// over returns a colour with opacity laid over an opaque one.
func over(top, ground color.NRGBA) color.NRGBA {
	a := float64(top.A) / 255
	mix := func(t, g uint8) uint8 { return uint8(math.Round(float64(t)*a + float64(g)*(1-a))) }
	return color.NRGBA{R: mix(top.R, ground.R), G: mix(top.G, ground.G), B: mix(top.B, ground.B), A: 255}
}

func TestThemeDefinesEveryColour(t *testing.T) {
	names := []fyne.ThemeColorName{
		theme.ColorNameBackground, theme.ColorNameButton, theme.ColorNameDisabledButton, theme.ColorNameDisabled,
		theme.ColorNameError, theme.ColorNameFocus, theme.ColorNameForeground, theme.ColorNameForegroundOnError,
		theme.ColorNameForegroundOnPrimary, theme.ColorNameForegroundOnSuccess, theme.ColorNameForegroundOnWarning,
		theme.ColorNameHeaderBackground, theme.ColorNameHover, theme.ColorNameHyperlink, theme.ColorNameInputBackground,
		theme.ColorNameInputBorder, theme.ColorNameMenuBackground, theme.ColorNameOverlayBackground,
		theme.ColorNamePlaceHolder, theme.ColorNamePressed, theme.ColorNamePrimary, theme.ColorNameScrollBar,
		theme.ColorNameScrollBarBackground, theme.ColorNameSelection, theme.ColorNameSeparator, theme.ColorNameShadow,
		theme.ColorNameSuccess, theme.ColorNameWarning,
	}
	texts := map[fyne.ThemeColorName]bool{theme.ColorNameForeground: true}
	for _, p := range Palettes() {
		th := NewTheme(p)
		for _, name := range names {
			c, ok := th.Color(name, theme.VariantDark).(color.NRGBA)
			if !ok || c.A == 0 {
				t.Errorf("%s: colour %s is not defined", p.Name, name)
			}
			if c == p.Text && !texts[name] {
				t.Errorf("%s: colour %s falls back to that of text", p.Name, name)
			}
		}
	}
}

func TestNoTextIsSmall(t *testing.T) {
	th := NewTheme(Dusk())
	for _, name := range []fyne.ThemeSizeName{
		theme.SizeNameText, theme.SizeNameCaptionText, theme.SizeNameHeadingText, theme.SizeNameSubHeadingText,
	} {
		if size := th.Size(name); size < 12 {
			t.Errorf("size %s is %v, want at least 12", name, size)
		}
	}
}
