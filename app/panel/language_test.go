package panel

import (
	"strings"
	"testing"
	"unicode"

	"fyne.io/fyne/v2"

	"beamhelm/app/panel/language"
	"beamhelm/app/panel/widget"
)

// longer makes words longer by a third and more, with accents, as those of other languages may be.
func longer(words string) string {
	letters := 0
	said := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) {
			letters++
		}
		if to, ok := map[rune]rune{'a': 'ä', 'o': 'ö', 'u': 'ü', 'e': 'é', 'i': 'ï'}[r]; ok {
			return to
		}
		return r
	}, words)
	if letters < 3 {
		return said
	}
	return said + strings.Repeat("é", (letters+2)/3)
}

// Longer words break nothing: the window fits the least screen, and what can't be
// read whole is shortened with an ellipsis, the stop control and figures never.
func TestLongerWordsBreakNothing(t *testing.T) {
	de, err := language.Of("de")
	if err != nil {
		t.Fatal(err)
	}
	for name, table := range map[string]*language.Table{"German": de, "longer": language.Changed(longer)} {
		t.Run(name, func(t *testing.T) {
			language.Use(table)
			t.Cleanup(func() { language.Use(nil) })
			w, _ := open(t, least, nil)
			for i, pane := range w.right.panes {
				w.right.choose(i)
				w.window.Resize(least)
				if needs := w.window.Content().MinSize(); needs.Width > least.Width || needs.Height > least.Height {
					t.Errorf("with the pane %s the window needs %v, more than %v", pane.Title(), needs, least)
				}
				cut := []string{}
				widget.Walk(w.parts, func(object fyne.CanvasObject) {
					if b, ok := object.(interface {
						Cut() bool
						ControlWords() string
					}); ok && object.Visible() && b.Cut() {
						cut = append(cut, b.ControlWords())
					}
				})
				t.Logf("%s: shortened %q", pane.Title(), cut)
			}
		})
	}
}
