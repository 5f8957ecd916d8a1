package widget

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
)

// No line ends in an article or a short preposition, and no word is lost. A word alone that is too wide is broken.
func TestNoLineEndsInAnArticle(t *testing.T) {
	window(t, nil)
	const words = "The azimuth axis moves by a degree to the end of the cable, at an angle of 5 on the wrap"
	for width := float32(110); width < 500; width += 3 {
		lines := wrapTo(words, width, SmallText, fyne.TextStyle{})
		letters := Wrap(words, int(width/7))
		for _, all := range [][]string{lines, letters} {
			if strings.Join(all, " ") != words {
				t.Fatalf("%v wide: %q", width, all)
			}
			for i, line := range all[:len(all)-1] {
				if last := strings.Fields(line); Leads(last[len(last)-1]) && len(last) > 1 {
					t.Errorf("%v wide: line %d ends so: %q", width, i, line)
				}
			}
		}
		for _, line := range letters {
			if got := len([]rune(line)); got > int(width/7) {
				t.Errorf("%d letters: %q has %d", int(width/7), line, got)
			}
		}
		for _, line := range lines {
			if at := fyne.MeasureText(line, SmallText, fyne.TextStyle{}).Width; at > width {
				t.Errorf("%v wide: %q is %v wide", width, line, at)
			}
		}
	}
	if lines := wrapTo("in the way", 18, SmallText, fyne.TextStyle{}); strings.Join(lines, "") != "intheway" {
		t.Errorf("too narrow for anything: %q", lines)
	}
	for _, c := range []struct {
		words   string
		letters int
		want    string
	}{
		{"in the way", 3, "in|the|way"}, {"in the way", 2, "in|th|e|wa|y"},
		{"The source Cas A sets", 16, "The source Cas A|sets"}, {"draws 3 A now", 9, "draws 3 A|now"},
		{"it stops. The dish", 13, "it stops.|The dish"},
	} {
		if got := strings.Join(Wrap(c.words, c.letters), "|"); got != c.want {
			t.Errorf("%q in %d letters: %q", c.words, c.letters, got)
		}
	}
}
