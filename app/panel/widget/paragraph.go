package widget

import (
	"strings"

	"fyne.io/fyne/v2"

	"beamhelm/app/view"
)

// Wrap breaks words into lines of at most so many letters, where that is possible.
func Wrap(words string, letters int) (lines []string) {
	line := ""
	for word := range strings.FieldsSeq(words) {
		if line != "" && len([]rune(line))+1+len([]rune(word)) > letters {
			lines, line = append(lines, line), ""
		}
		line = strings.TrimSpace(line + " " + word)
	}
	return append(lines, line)
}

// Paragraph is small words on as many lines as they take. No line makes its column wider.
func Paragraph(words string, letters int, tone view.Tone) fyne.CanvasObject {
	var lines []Part
	for _, line := range Wrap(words, letters) {
		lines = append(lines, Fixed(NewText(line).Small().Elastic().Tone(tone)))
	}
	return Column(0, lines...)
}
