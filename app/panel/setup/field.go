package setup

import (
	"fmt"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"

	"beamhelm/app/panel/widget"
	"beamhelm/app/settings"
	"beamhelm/app/view"
)

// field is the row of one key: its name, what is typed or chosen, its unit, and
// below what it is for and may be, or what is wrong with it.
type field struct {
	key    string
	entry  *widget.Entry
	choice *widget.Button
	about  [aboutLines]*widget.Text
	words  string
	shown  string
	object fyne.CanvasObject
}

// The lines below a key, and how many letters a line has.
const (
	aboutLines   = 3
	aboutLetters = 60
)

func (p *Pane) newField(e settings.Entry) *field {
	f := &field{key: e.Key}
	lines := make([]widget.Part, aboutLines)
	for i := range f.about {
		f.about[i] = widget.NewLabel("").Elastic()
		lines[i] = widget.Fixed(f.about[i])
	}
	f.about[0].Named("setup-about-" + e.Key)
	// Said by parts, and before it is broken into lines.
	f.words = view.Sentence(e.Field.Why)
	chosen := e.Field.Kind == settings.Choice || e.Field.Kind == settings.YesNo
	if !chosen { // what can be chosen stands in the list
		f.words += "; " + e.Field.Allowed()
	}
	usual := e.Field.Usual
	if text, err := strconv.Unquote(usual); err == nil {
		usual = text // a text is typed without its quotes
	}
	switch {
	case usual != "":
		f.words += fmt.Sprintf("; default %s", onOff(e.Field, usual))
	case e.Field.Usual != "":
		f.words += "; default empty"
	}
	f.words = view.Minus(f.words)
	name := widget.NewText(view.Sentence(e.Field.Name)).Small().Elastic()
	unit := widget.NewLabel(e.Field.Unit).Reserve("samples/s")
	var input fyne.CanvasObject
	if chosen {
		f.choice = widget.NewButton(onOff(e.Field, e.Written), "setup-"+e.Key, f.words,
			nil).Tight().Sized(widget.SmallText)
		f.choice.SetAct(func() { p.openChoices(f, e.Field) })
		input = f.choice
	} else {
		f.entry = widget.NewEntry("setup-"+e.Key, usual)
		f.entry.SetText(e.Written)
		f.entry.OnChanged = func(typed string) {
			p.draft.Set(e.Key, typed)
			p.review()
		}
		f.entry.OnLeft = p.draft.Settle
		input = f.entry
	}
	f.object = widget.Column(1,
		widget.Fixed(widget.Row(8, widget.Part{Object: name, Share: 5},
			widget.Part{Object: input, Share: 5, Min: 120}, widget.Fixed(unit))),
		widget.Fixed(widget.Column(0, lines...)))
	f.mark(e)
	return f
}

// openChoices offers what a key may be.
func (p *Pane) openChoices(f *field, known settings.Field) {
	choices := known.Choices
	if known.Kind == settings.YesNo {
		choices = []string{"true", "false"}
	}
	var items []widget.Item
	for _, c := range choices {
		words := onOff(known, c)
		items = append(items, widget.Item{Words: words, Name: "setup-choice-" + view.Name(words),
			Chosen: words == f.choice.ControlWords(), Act: func() {
				p.say(p.draft.Set(f.key, c))
				p.build()
			}})
	}
	p.with.Open.ShowItems("setup-choices", f.choice, items)
}

// onOff is a value as it is chosen: yes and no stand in the file as true and false.
func onOff(known settings.Field, written string) string {
	if known.Kind == settings.YesNo {
		return map[string]string{"true": "on", "false": "off"}[written]
	}
	return written
}

// mark says what is wrong, or else what the key is for.
func (f *field) mark(e settings.Entry) {
	words, tone := f.words, view.Faint
	if e.Wrong != "" {
		words, tone = "▲ "+view.Minus(e.Wrong), view.Attention
	}
	if words == f.shown {
		return
	}
	f.shown = words
	lines := widget.Wrap(words, aboutLetters)
	for i, text := range f.about {
		text.Hide()
		switch {
		case i >= len(lines):
			continue
		case i == aboutLines-1:
			text.Set(strings.Join(lines[i:], " "), tone)
		default:
			text.Set(lines[i], tone)
		}
		text.Show()
	}
	if f.object != nil {
		f.object.Refresh()
	}
}

// memberOf is the member of a list that a key belongs to, the innermost, or the
// reading; empty for neither.
func memberOf(key string) string {
	if at := strings.LastIndex(key, "]"); at >= 0 {
		return key[:at+1]
	}
	if parts := strings.Split(key, "."); parts[0] == "readings" && len(parts) == 3 {
		return parts[0] + "." + parts[1]
	}
	return ""
}

// memberRow heads a member of a list, with a way to take it away, or a reading.
func (p *Pane) memberRow(member string) fyne.CanvasObject {
	if reading, is := strings.CutPrefix(member, "readings."); is {
		for _, r := range settings.Readings() {
			if r.Key == reading {
				return widget.NewText(r.Name + ", " + r.Unit + ": " + r.Why).Small().Bold().Elastic()
			}
		}
	}
	list := member[strings.LastIndex(member, ".")+1:]
	name, index, _ := strings.Cut(strings.TrimSuffix(list, "]"), "[")
	number := 1
	_, _ = fmt.Sscan(index, &number) // it is one: the draft wrote it
	words := strings.ReplaceAll(strings.TrimSuffix(name, "s"), "_", " ")
	return widget.Row(8, widget.Sharing(widget.NewText(
		fmt.Sprintf("%s %d", view.Sentence(words), number+1)).Small().Bold()),
		widget.Fixed(widget.NewButton("Remove", "setup-remove-"+member, "Take this one out of the settings", func() {
			p.say(p.draft.Remove(member))
			p.build()
		}).Tight().Sized(widget.SmallText)))
}

// list is one to which something can be added.
type list struct{ key, words string }

// listsOf are the lists of a chapter.
func listsOf(c chapter, s settings.Settings) (lists []list) {
	for _, section := range c.sections {
		switch section {
		case "bands":
			for i, b := range s.Bands {
				lists = append(lists, list{fmt.Sprintf("bands[%d].feeds", i), "Add a feed to " + b.Name})
			}
			lists = append(lists, list{"bands", "Add a band"})
		case "structures":
			lists = append(lists, list{section, "Add a structure"})
		case "closed_sectors":
			lists = append(lists, list{section, "Add a closed sector"})
		}
	}
	return lists
}

// sectionWhy is what a section is for.
func sectionWhy(key string) string {
	for _, s := range settings.Sections() {
		if s.Key == key || s.Key == "axes.*" && strings.HasPrefix(key, "axes.") {
			why, _, _ := strings.Cut(s.Why, "; repeat the section") // which is a matter of the file
			return why
		}
	}
	return ""
}
