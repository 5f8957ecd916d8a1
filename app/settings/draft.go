package settings

import (
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// Draft is settings while somebody changes them. What is typed wrong stays
// beside its key and changes nothing.
type Draft struct {
	before, now Settings
	done        []Settings        // what Undo goes back to, newest last
	last        string            // the key changed last: what is typed on there is one change
	typed       map[string]string // what can't be taken, by key
	wrong       map[string]string // and why
	schema      schema
}

// Entry is one key of a draft.
type Entry struct {
	Key   string
	Field Field
	// Written is the value as it is typed: texts without quotes.
	Written string
	// Wrong says what is wrong with it; empty where nothing is.
	Wrong string
}

// Change is a key whose value is another than it was. Keys of members of lists
// that came or went are told as their list.
type Change struct{ Key, Before, After string }

// NewDraft returns a draft of settings.
func NewDraft(s Settings) *Draft {
	return &Draft{before: copied(s), now: copied(s), typed: map[string]string{}, wrong: map[string]string{},
		schema: newSchema()}
}

// copied shares nothing with the original.
func copied(s Settings) (c Settings) {
	text, err := json.Marshal(s)
	if err == nil {
		err = json.Unmarshal(text, &c)
	}
	if err != nil {
		panic(err) // settings are plain values: only a programmer can make them others
	}
	return c
}

// Settings are the draft's, without what was typed wrong.
func (d *Draft) Settings() Settings { return copied(d.now) }

// Entries are all keys, in the order of the file, with what is wrong with each.
func (d *Draft) Entries() (all []Entry) {
	faults := map[string]string{}
	for _, f := range d.now.Check() {
		if faults[f.Key] == "" {
			faults[f.Key] = f.Words
		}
	}
	eachLeaf(reflect.ValueOf(d.now), "", func(key string, v reflect.Value) {
		field, known := d.schema.field(key)
		if !known || key == "version" {
			return
		}
		field.Key = key
		e := Entry{Key: key, Field: field, Written: plain(v), Wrong: faults[key]}
		if typed, there := d.typed[key]; there {
			e.Written, e.Wrong = typed, d.wrong[key]
		}
		all = append(all, e)
	})
	return all
}

// plain is a value as it is typed.
func plain(v reflect.Value) string {
	if v.Kind() == reflect.String {
		return v.String()
	}
	return literal(v)
}

// Faults are what keeps the draft from being used: what was typed wrong, and what doesn't go together.
func (d *Draft) Faults() (all []Fault) {
	for key, words := range d.wrong {
		all = append(all, Fault{Key: key, Words: words})
	}
	slices.SortFunc(all, func(a, b Fault) int { return strings.Compare(a.Key, b.Key) })
	return append(all, d.now.Check()...)
}

// Set takes what was typed for a key. What is wrong is told, and kept beside the key.
func (d *Draft) Set(key, written string) (wrong string) {
	next := copied(d.now)
	field, known := d.schema.field(key)
	if !known {
		return "there is no such key"
	}
	v, done := leafAt(reflect.ValueOf(&next).Elem(), key)
	if !v.IsValid() {
		return "there is no such key"
	}
	if wrong = take(v, field, strings.TrimSpace(written)); wrong == "" {
		wrong = field.wrong(v)
	}
	if wrong != "" {
		d.giveUp(key)
		d.typed[key], d.wrong[key] = written, fmt.Sprintf("%s; must be %s", wrong, field.Allowed())
		return d.wrong[key]
	}
	done()
	delete(d.typed, key)
	delete(d.wrong, key)
	d.step(key, next)
	return ""
}

// giveUp takes back what was typed for a key on the way to something wrong: the 9 of 91 was never meant.
func (d *Draft) giveUp(key string) {
	if n := len(d.done) - 1; key == d.last && n >= 0 {
		d.now, d.done, d.last = d.done[n], d.done[:n], ""
	}
}

// Settle says that the typing for a key is done: what is typed for it again is another change.
func (d *Draft) Settle() { d.last = "" }

// step goes on to settings in which a key was changed.
func (d *Draft) step(key string, next Settings) {
	if reflect.DeepEqual(next, d.now) {
		return
	}
	if key == "" || key != d.last || len(d.done) == 0 {
		d.done = append(d.done, d.now)
	}
	d.now, d.last = next, key
}

// Undo takes the last change back, or what was typed wrong; false when there is nothing.
func (d *Draft) Undo() bool {
	if len(d.typed) > 0 {
		clear(d.typed)
		clear(d.wrong)
		return true
	}
	if len(d.done) == 0 {
		return false
	}
	d.last = ""
	d.now = d.done[len(d.done)-1]
	d.done = d.done[:len(d.done)-1]
	return true
}

// Changes are what the draft changes.
func (d *Draft) Changes() (all []Change) {
	values := func(s Settings) (keys []string, of map[string]string) {
		of = map[string]string{}
		eachLeaf(reflect.ValueOf(s), "", func(key string, v reflect.Value) {
			keys = append(keys, key)
			of[key] = plain(v)
		})
		return keys, of
	}
	keysBefore, before := values(d.before)
	keys, now := values(d.now)
	for _, key := range keys {
		old, there := before[key]
		if !there {
			old = "(new)"
		}
		if old != now[key] {
			all = append(all, Change{key, old, now[key]})
		}
	}
	for _, key := range keysBefore {
		if _, there := now[key]; !there {
			all = append(all, Change{key, before[key], "(gone)"})
		}
	}
	return all
}

// Add adds a member to a list, such as bands, bands[0].feeds or structures: a
// copy of its last, under a name of its own, or an empty one.
func (d *Draft) Add(list string) (wrong string) {
	next := copied(d.now)
	v, _ := leafAt(reflect.ValueOf(&next).Elem(), list)
	if !v.IsValid() || v.Kind() != reflect.Slice || isLeaf(v.Type()) {
		return "there is no such list"
	}
	if section := d.schema.sections[strings.TrimSuffix(patternOf(list), "[]")]; section.Max > 0 &&
		v.Len() >= section.Max {
		return fmt.Sprintf("there are %d already, which is the most", v.Len())
	}
	member := reflect.New(v.Type().Elem()).Elem()
	if n := v.Len(); n > 0 {
		member.Set(v.Index(n - 1))
	} else if member.Type() == reflect.TypeFor[Band]() {
		member.Set(reflect.ValueOf(defaultBand()))
	}
	if name := member.FieldByName("Name"); name.IsValid() {
		name.SetString(strings.TrimSpace(fmt.Sprintf("%s %d", name.String(), v.Len()+1)))
	}
	v.Set(reflect.Append(v, member))
	d.step("", copied(next))
	return ""
}

// Remove takes a member of a list away, such as structures[1].
func (d *Draft) Remove(member string) (wrong string) {
	list, index, ok := lastIndex(member)
	next := copied(d.now)
	v, _ := leafAt(reflect.ValueOf(&next).Elem(), list)
	if !ok || !v.IsValid() || v.Kind() != reflect.Slice || index >= v.Len() {
		return "there is no such member"
	}
	v.Set(reflect.AppendSlice(v.Slice(0, index), v.Slice(index+1, v.Len())))
	for key := range d.typed { // the numbers behind it are others now
		if strings.HasPrefix(key, list+"[") {
			delete(d.typed, key)
			delete(d.wrong, key)
		}
	}
	d.step("", copied(next))
	return ""
}

// lastIndex splits structures[1] into structures and 1.
func lastIndex(member string) (list string, index int, ok bool) {
	at := strings.LastIndex(member, "[")
	if at < 0 || !strings.HasSuffix(member, "]") {
		return "", 0, false
	}
	index, err := strconv.Atoi(member[at+1 : len(member)-1])
	return member[:at], index, err == nil && index >= 0
}

// leafAt finds the value of a key; done puts it back where it is a copy. It is
// not valid where there is none.
func leafAt(v reflect.Value, key string) (found reflect.Value, done func()) {
	done = func() {}
	for part := range strings.SplitSeq(key, ".") {
		name, rest, indexed := strings.Cut(part, "[")
		if v.Kind() == reflect.Map {
			home, at := v, reflect.ValueOf(name)
			member := v.MapIndex(at)
			if !member.IsValid() {
				return reflect.Value{}, done
			}
			v = reflect.New(member.Type()).Elem()
			v.Set(member)
			changed := v
			done = func() { home.SetMapIndex(at, changed) }
			continue
		}
		if v.Kind() != reflect.Struct {
			return reflect.Value{}, done
		}
		next := reflect.Value{}
		for field := range fieldsOf(v.Type()) {
			if tagOf(field) == name {
				next = v.FieldByIndex(field.Index)
			}
		}
		if v = next; !v.IsValid() {
			return v, done
		}
		if indexed {
			i, err := strconv.Atoi(strings.TrimSuffix(rest, "]"))
			if err != nil || i < 0 || v.Kind() != reflect.Slice || i >= v.Len() {
				return reflect.Value{}, done
			}
			v = v.Index(i)
		}
	}
	return v, done
}

// take sets a value from what was typed; it says what is wrong with that.
func take(to reflect.Value, field Field, typed string) string {
	if to.Kind() == reflect.String {
		to.SetString(typed)
		return ""
	}
	if to.Type() == reflect.TypeFor[Optional]() && typed == "" {
		to.Set(reflect.ValueOf(Optional{}))
		return ""
	}
	switch kindOf(to.Type()) {
	case Number, Whole:
		if strings.Count(typed, ",") == 1 {
			typed = strings.Replace(typed, ",", ".", 1) // a decimal comma
		}
		if v, err := strconv.ParseFloat(typed, 64); err == nil && kindOf(to.Type()) == Number {
			return convert(to, v)
		}
	case Numbers, Points:
		// The outer brackets may be left out.
		if outer := map[bool]string{true: "[", false: "[["}[kindOf(to.Type()) == Numbers]; typed != "[]" &&
			!strings.HasPrefix(strings.ReplaceAll(typed, " ", ""), outer) {
			typed = "[" + typed + "]"
		}
	case Texts:
		if !strings.HasPrefix(typed, "[") {
			var words []string
			for word := range strings.SplitSeq(typed, ",") {
				if word = strings.TrimSpace(word); word != "" {
					words = append(words, quoted(word))
				}
			}
			typed = "[" + strings.Join(words, ", ") + "]"
		}
	}
	var tree map[string]any
	if err := toml.Unmarshal([]byte("value = "+typed), &tree); err != nil || len(tree) != 1 || tree["value"] == nil {
		return shortened(typed) + " can't be read"
	}
	return convert(to, tree["value"])
}

// shortened is what was typed, no longer than fits a line.
func shortened(typed string) string {
	if letters := []rune(typed); len(letters) > 30 {
		typed = string(letters[:30]) + "…"
	}
	return strconv.Quote(typed)
}
