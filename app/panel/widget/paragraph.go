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

// Lines returns words over as many lines as a width needs; each makes the text of one line.
func Lines(words string, width float32, each func(string) *Text) *fyne.Container {
	sample := each("")
	parts := []Part{}
	for _, line := range wrapTo(Printable(words), width, sample.size, fyne.TextStyle{Bold: sample.bold}) {
		parts = append(parts, Fixed(each(line)))
	}
	return Column(0, parts...)
}

// wrapTo breaks words at spaces into lines no wider than a width. A single word
// that is wider is broken within.
func wrapTo(words string, width, size float32, style fyne.TextStyle) (lines []string) {
	fits := func(line string) bool { return fyne.MeasureText(line, size, style).Width <= width }
	line := ""
	for _, word := range strings.Fields(words) {
		if line != "" && fits(line+" "+word) {
			line += " " + word
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		line = ""
		for _, letter := range word {
			if line != "" && !fits(line+string(letter)) {
				lines = append(lines, line)
				line = ""
			}
			line += string(letter)
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}
