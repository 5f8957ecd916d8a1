package widget

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/test"
)

// What comes from outside is drawn without its control characters: those of
// categories Cc and Cf of the Unicode Character Database, the bidirectional
// controls of Unicode Standard Annex 9 among the latter.
func TestPrintable(t *testing.T) {
	test.NewTempApp(t)
	for _, row := range []struct{ from, to string }{
		{"Cold Harbour Field", "Cold Harbour Field"},
		{"Grüße, −12.3° ▲ Ωмир", "Grüße, −12.3° ▲ Ωмир"},
		{"a\x1b[31mred\x00", "a\uFFFD[31mred\uFFFD"},
		{"two\r\nlines\tand", "two  lines and"},
		{"safe\u202Egpj.exe\u2066\u200F", "safe\uFFFDgpj.exe\uFFFD\uFFFD"},
		{"in\u200Bvisible\uFEFF", "in\uFFFDvisible\uFFFD"},
		{"bytes \xff\xfe", "bytes \uFFFD\uFFFD"},
		{"c1 \u0085\u009b", "c1 \uFFFD\uFFFD"},
	} {
		if got := Printable(row.from); got != row.to {
			t.Errorf("%q is drawn as %q, want %q", row.from, got, row.to)
		}
	}

	text, button := NewText("a\u202Eb"), NewButton("a\u202Eb", "b", "tip\u202E", nil)
	for w, objects := range map[fyne.Widget][]fyne.CanvasObject{
		text: test.WidgetRenderer(text).Objects(), button: test.WidgetRenderer(button).(*buttonRenderer).merged.objects,
	} {
		drawn := ""
		for _, object := range objects {
			if text, ok := object.(*canvas.Text); ok {
				drawn = text.Text
			}
		}
		if drawn != "a\uFFFDb" {
			t.Errorf("%T draws %q", w, drawn)
		}
	}
}
