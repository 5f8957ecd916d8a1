package help

import (
	"path"
	"regexp"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
	fynewidget "fyne.io/fyne/v2/widget"
)

// seek is what finds words on a page, in capital or small letters and over the end of a line; nil for no words.
func seek(words string) *regexp.Regexp {
	parts := strings.Fields(words)
	for i := range parts {
		parts[i] = regexp.QuoteMeta(parts[i])
	}
	if len(parts) == 0 {
		return nil
	}
	return regexp.MustCompile(`(?i)` + strings.Join(parts, `\s+`))
}

// piece is a paragraph, a heading or an item of a list: where it begins in its prose, and its words as they are seen.
type piece struct {
	at    int
	words string
}

var begins = regexp.MustCompile(`^\s*(#+|[-*]|\d+\.) `)

func pieces(prose string) (all []piece) {
	at, apart := 0, true
	for line := range strings.Lines(prose) {
		words := plain(strings.TrimSpace(line))
		switch {
		case words == "":
		case apart || begins.MatchString(line):
			all = append(all, piece{at, words})
		default:
			all[len(all)-1].words += " " + words
		}
		apart = words == "" || strings.HasPrefix(words, "#")
		at += len(line)
	}
	return all
}

// plain are words without what makes them bold or upright.
func plain(words string) string { return strings.NewReplacer("**", "", "`", "").Replace(words) }

// has says whether a page has words that are sought.
func (page Page) has(sought *regexp.Regexp) bool {
	return sought == nil || sought.MatchString(page.Title) ||
		slices.ContainsFunc(blocks(page.Text), func(b block) bool { return b.has(sought) })
}

func (b block) has(sought *regexp.Regexp) bool {
	switch {
	case sought == nil:
		return false
	case b.table != nil:
		return slices.ContainsFunc(b.table, func(row []string) bool {
			return slices.ContainsFunc(row, sought.MatchString)
		})
	case b.picture != "": // the caption of a picture that can be drawn isn't seen
		return path.Ext(b.picture) != ".png" && sought.MatchString(b.caption)
	}
	return slices.ContainsFunc(pieces(b.prose), func(one piece) bool { return sought.MatchString(one.words) })
}

// proseOf is prose as it is seen in a width, what is sought marked.
func proseOf(prose string, width float32, sought *regexp.Regexp) *fynewidget.RichText {
	text := fynewidget.NewRichTextFromMarkdown(prose)
	if sought != nil {
		text.Segments = marked(text.Segments, sought)
	}
	text.Wrapping = fyne.TextWrapWord
	text.Resize(fyne.NewSize(width, text.MinSize().Height))
	return text
}

// down is how far down its block the first of what is sought stands, about.
func (b block) down(width float32, sought *regexp.Regexp) float32 {
	if b.table != nil {
		_, at := newTable(b.table, width, sought)
		return at
	}
	for _, one := range pieces(b.prose) {
		found := sought.FindStringIndex(one.words)
		if found == nil {
			continue
		}
		before := b.prose[:one.at] + strings.TrimSpace(one.words[:found[0]])
		return max(0, proseOf(before, width, nil).MinSize().Height-lead)
	}
	return 0
}

// marked are segments in which all that is sought stands out, also what runs over several of them.
func marked(all []fynewidget.RichTextSegment, sought *regexp.Regexp) (out []fynewidget.RichTextSegment) {
	var run []*fynewidget.TextSegment
	end := func() {
		out = append(out, markedRun(run, sought)...)
		run = nil
	}
	for _, s := range all {
		switch s := s.(type) {
		case *fynewidget.TextSegment:
			if run = append(run, s); !s.Inline() {
				end()
			}
			continue
		case *fynewidget.ListSegment:
			s.Items = marked(s.Items, sought)
		case *fynewidget.ParagraphSegment:
			s.Texts = marked(s.Texts, sought)
		}
		end()
		out = append(out, s)
	}
	end()
	return out
}

// markedRun are segments of one line of thought, parted where what is sought begins and ends.
func markedRun(run []*fynewidget.TextSegment, sought *regexp.Regexp) (out []fynewidget.RichTextSegment) {
	words := ""
	for _, s := range run {
		words += s.Text
	}
	found, at := sought.FindAllStringIndex(words, -1), 0
	for _, s := range run {
		from, to := at, at+len(s.Text)
		part := func(end int, mark bool) {
			one := &fynewidget.TextSegment{Style: s.Style, Text: words[from:end]}
			if one.Style.Inline = s.Style.Inline || end < to; mark {
				one.Style.ColorName, one.Style.TextStyle.Bold = theme.ColorNameWarning, true
			}
			if end > from || s.Text == "" {
				out = append(out, one)
			}
			from = end
		}
		for _, f := range found {
			if f[1] > from && f[0] < to {
				part(max(from, f[0]), false)
				part(min(to, f[1]), true)
			}
		}
		if from < to || s.Text == "" { // an empty one may end a paragraph
			part(to, false)
		}
		at = to
	}
	return out
}
