package widget

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"

	"beamhelm/assets/fonts"
)

// Sizes of text, in units of the window; none is smaller than 12.
const (
	SmallText   float32 = 12
	BodyText    float32 = 13
	FigureText  float32 = 15
	HeadingText float32 = 16
	ClockText   float32 = 24
	BigText     float32 = 38
)

// Gap is the space between panes, Inset the space inside one.
const (
	Gap    float32 = 6
	Inset  float32 = 10
	Corner float32 = 5
)

// Theme gives Fyne's own widgets the colours, typeface and sizes of the window.
type Theme struct {
	palette *Palette
	text    *fyne.StaticResource
	bold    *fyne.StaticResource
}

// NewTheme returns the theme of a palette.
func NewTheme(palette *Palette) *Theme {
	return &Theme{
		palette: palette,
		text:    fyne.NewStaticResource("B612-Regular.otf", fonts.Regular()),
		bold:    fyne.NewStaticResource("B612-Bold.otf", fonts.Bold()),
	}
}

// Palette returns the theme's palette.
func (t *Theme) Palette() *Palette { return t.palette }

// Current returns the palette in use: that of the running program's theme, or
// dusk where the theme is not ours.
func Current() *Palette {
	if app := fyne.CurrentApp(); app != nil {
		if t, ok := app.Settings().Theme().(*Theme); ok {
			return t.palette
		}
	}
	return Dusk()
}

// Color implements fyne.Theme. The variant is ignored: a palette is one or the other.
func (t *Theme) Color(name fyne.ThemeColorName, _ fyne.ThemeVariant) color.Color {
	p := t.palette
	switch name {
	case theme.ColorNameBackground:
		return p.Pane // what the window is cleared with, see Seamed
	case theme.ColorNameButton, theme.ColorNameHeaderBackground, theme.ColorNameScrollBarBackground:
		return p.Raised
	case theme.ColorNameDisabledButton, theme.ColorNameMenuBackground, theme.ColorNameOverlayBackground:
		return p.Pane
	case theme.ColorNameDisabled, theme.ColorNamePlaceHolder:
		return p.Old
	case theme.ColorNameForeground:
		return p.Text
	case theme.ColorNameInputBackground:
		return p.Well
	case theme.ColorNameInputBorder, theme.ColorNameScrollBar:
		return p.Mark
	case theme.ColorNameFocus:
		return Fade(p.Focus, 0.45)
	case theme.ColorNameHover:
		return Fade(p.Text, 0.08)
	case theme.ColorNamePressed:
		return Fade(p.Text, 0.16)
	case theme.ColorNameSelection:
		return Fade(p.Setpoint, 0.35)
	case theme.ColorNameSeparator:
		return p.Line
	case theme.ColorNameShadow:
		return color.NRGBA{A: 0x90}
	}
	return t.meaning(name)
}

// meaning returns the colours that say something.
func (t *Theme) meaning(name fyne.ThemeColorName) color.Color {
	p := t.palette
	switch name {
	case theme.ColorNameError:
		return p.Alarm
	case theme.ColorNameForegroundOnError:
		return p.OnAlarm
	case theme.ColorNameWarning:
		return p.Warning
	case theme.ColorNameForegroundOnWarning:
		return p.OnWarning
	case theme.ColorNamePrimary, theme.ColorNameSuccess, theme.ColorNameHyperlink:
		return p.Setpoint
	case theme.ColorNameForegroundOnPrimary, theme.ColorNameForegroundOnSuccess:
		return p.OnSetpoint
	}
	return p.Text
}

// Font implements fyne.Theme: regular or bold; the typeface has one width of figures, so monospace is the same.
func (t *Theme) Font(style fyne.TextStyle) fyne.Resource {
	if style.Symbol {
		return theme.DefaultTheme().Font(style)
	}
	if style.Bold {
		return t.bold
	}
	return t.text
}

// Icon implements fyne.Theme with Fyne's own icons.
func (t *Theme) Icon(name fyne.ThemeIconName) fyne.Resource {
	return theme.DefaultTheme().Icon(name)
}

// Size implements fyne.Theme.
func (t *Theme) Size(name fyne.ThemeSizeName) float32 {
	switch name {
	case theme.SizeNameText:
		return BodyText
	case theme.SizeNameCaptionText:
		return SmallText
	case theme.SizeNameHeadingText:
		return ClockText
	case theme.SizeNameSubHeadingText:
		return HeadingText
	case theme.SizeNamePadding:
		return 4
	case theme.SizeNameInnerPadding:
		return 6
	case theme.SizeNameInputRadius, theme.SizeNameSelectionRadius:
		return 4
	}
	return theme.DefaultTheme().Size(name)
}
