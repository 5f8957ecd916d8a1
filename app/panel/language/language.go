// Package language says the window's words in the language of the operator's
// desktop. The English words are written where they are needed; the table of a
// language, assets/words, gives for each what is said in its place. A phrase may
// have verbs of package fmt: then what stands in their place is said too. What a
// table lacks stays English.
package language

import (
	"encoding/json"
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"

	"beamhelm/assets"
)

// inUse says the words; nil is English.
var inUse *Table

// Say is English words in the language in use.
func Say(english string) string {
	if inUse == nil {
		return english
	}
	return inUse.Say(english)
}

// Use has every word said by a table, nil for English. Call it before there is a window.
func Use(t *Table) { inUse = t }

// Desktops is the table of the desktop's language; nil where that is English or
// there is none. The window library's own words are in it already.
func Desktops() *Table {
	locale := string(lang.SystemLocale())
	if strings.HasPrefix(locale, "en") {
		return nil
	}
	for i := len(locale); i > 0; i = strings.LastIndexAny(locale[:i], "-_") {
		if t, err := Of(locale[:i]); err == nil {
			if lang.AddTranslationsForLocale(t.text, fyne.Locale(locale[:i])) == nil {
				t.exact = lang.L
			}
			return t
		}
	}
	return nil
}

// Table is the table of a language.
type Table struct {
	text     []byte
	to       map[string]string
	exact    func(string, ...any) string
	patterns map[byte][]pattern // by the first letter; 0 for those that begin with a verb
	change   func(string) string

	mu    sync.Mutex
	known map[string]string
}

// pattern is a phrase with verbs.
type pattern struct {
	form *regexp.Regexp
	to   []string // the pieces of what is said, between the verbs
}

// Of reads the table of a language, such as "de".
func Of(name string) (*Table, error) {
	text, err := fs.ReadFile(assets.Words(), name+".json")
	if err != nil {
		return nil, err
	}
	t := &Table{text: text, patterns: map[byte][]pattern{}, known: map[string]string{}}
	if err := json.Unmarshal(text, &t.to); err != nil {
		return nil, err
	}
	for from, to := range t.to {
		t.add(from, to)
	}
	for _, list := range t.patterns { // what says more comes first
		slices.SortFunc(list, func(a, b pattern) int { return len(b.form.String()) - len(a.form.String()) })
	}
	return t, nil
}

// Changed is a table that says everything as change makes of it: for trying how longer words fit.
func Changed(change func(string) string) *Table { return &Table{change: change} }

var (
	verb   = regexp.MustCompile(`%[-+# 0]*[0-9]*(\.[0-9]+)?[a-zA-Z%]`)
	moment = regexp.MustCompile(`^(▲ |[0-9][0-9]:[0-9:]+ )`) // what goes before a phrase
	number = `[-+−]?[0-9][0-9.,  ]*`
)

// add takes a phrase with verbs in; one without is found as it is.
func (t *Table) add(from, to string) {
	places := verb.FindAllStringIndex(from, -1)
	if len(places) == 0 {
		return
	}
	form, at := "^", 0
	for _, p := range places {
		form += regexp.QuoteMeta(from[at:p[0]])
		switch v := from[p[0]:p[1]]; v[len(v)-1] {
		case '%':
			form += "%"
		case 'd', 'f', 'g', 'x', 'X':
			form += "(" + number + ")"
		default:
			form += "(.*?)"
		}
		at = p[1]
	}
	re, err := regexp.Compile(form + regexp.QuoteMeta(from[at:]) + "$")
	if err != nil {
		return
	}
	pieces := verb.Split(strings.ReplaceAll(to, "%%", "\x00"), -1)
	for i := range pieces {
		pieces[i] = strings.ReplaceAll(pieces[i], "\x00", "%")
	}
	if len(pieces) != re.NumSubexp()+1 {
		return
	}
	first := byte(0)
	if places[0][0] > 0 {
		first = from[0]
	}
	t.patterns[first] = append(t.patterns[first], pattern{re, pieces})
}

// mostKnown is how many sayings are kept.
const mostKnown = 4096

// Say is English words in the table's language.
func (t *Table) Say(english string) string {
	if t.change != nil {
		return t.change(english)
	}
	t.mu.Lock()
	said, ok := t.known[english]
	t.mu.Unlock()
	if ok {
		return said
	}
	said = t.say(english)
	t.mu.Lock()
	if len(t.known) >= mostKnown {
		clear(t.known)
	}
	t.known[english] = said
	t.mu.Unlock()
	return said
}

func (t *Table) say(english string) string {
	if strings.IndexFunc(english, unicode.IsLetter) < 0 {
		return english
	}
	if to, ok := t.to[english]; ok {
		if t.exact != nil {
			return t.exact(english)
		}
		return to
	}
	if to, ok := t.whole(english); ok {
		return to
	}
	if at := moment.FindStringIndex(english); at != nil {
		return english[:at[1]] + t.say(english[at[1]:])
	}
	if said, ok := t.byPattern(english); ok {
		return said
	}
	// A phrase put together of others: of known ones where that can be, the longest first.
	joints := []string{" · ", "; ", ", ", ": ", " ▾", "…"}
	for _, joint := range joints {
		for at := strings.LastIndex(english, joint); at > 0; at = strings.LastIndex(english[:at], joint) {
			if said, ok := t.whole(english[:at+len(joint)]); ok {
				return said + t.say(english[at+len(joint):])
			}
			if said, ok := t.whole(english[:at]); ok {
				return said + joint + t.say(english[at+len(joint):])
			}
		}
	}
	for _, joint := range joints {
		if before, after, joined := strings.Cut(english, joint); joined && (before != "" || after != "") {
			return t.say(before) + joint + t.say(after)
		}
	}
	return english
}

// whole is what the table says for a phrase, or for it with a small first letter.
func (t *Table) whole(english string) (string, bool) {
	if to, ok := t.to[english]; ok {
		return to, true
	}
	first, size := utf8.DecodeRuneInString(english)
	to, ok := t.to[string(unicode.ToLower(first))+english[size:]]
	if !ok || to == "" {
		return "", false
	}
	first, size = utf8.DecodeRuneInString(to)
	return string(unicode.ToUpper(first)) + to[size:], true
}

func (t *Table) byPattern(english string) (string, bool) {
	for _, first := range [2]byte{english[0], 0} {
		for _, p := range t.patterns[first] {
			found := p.form.FindStringSubmatch(english)
			if found == nil {
				continue
			}
			said := p.to[0]
			for i, part := range found[1:] {
				said += t.say(part) + p.to[i+1]
			}
			return said, true
		}
	}
	return "", false
}
