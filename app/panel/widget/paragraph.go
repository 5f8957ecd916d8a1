package widget

import (
	"strings"
	"unicode/utf8"

	"fyne.io/fyne/v2"

	"beamhelm/app/view"
)

// Leads says that a word stands with the next one: no line ends in an article or a short preposition. A capital A alone
// is a name or the ampere.
func Leads(word string) bool {
	switch word {
	case "a", "an", "the", "of", "to", "in", "at", "on", "by", "An", "The", "Of", "To", "In", "At", "On", "By":
		return true
	}
	return false
}

// units are words, each with those that lead to it: what lines are broken between.
func units(words string) (all []string) {
	led := ""
	for word := range strings.FieldsSeq(words) {
		if led += word; Leads(word) {
			led += " "
			continue
		}
		all, led = append(all, led), ""
	}
	if led != "" {
		all = append(all, strings.TrimSpace(led))
	}
	return all
}

// Wrap breaks words into lines of at most so many letters. A single word that is longer is broken within.
func Wrap(words string, letters int) []string {
	return breakLines(words, func(line string) bool { return utf8.RuneCountInString(line) <= letters })
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
func wrapTo(words string, width, size float32, style fyne.TextStyle) []string {
	return breakLines(words, func(line string) bool { return fyne.MeasureText(line, size, style).Width <= width })
}

// breakLines breaks words at spaces into lines that fit; a single word that does not fit is broken within.
func breakLines(words string, fits func(line string) bool) (lines []string) {
	var all []string
	for _, unit := range units(words) {
		if fits(unit) {
			all = append(all, unit)
		} else {
			all = append(all, strings.Fields(unit)...)
		}
	}
	line := ""
	for _, word := range all {
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
