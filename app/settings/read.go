package settings

import (
	"bytes"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
)

// maxBytes is the largest file that is read.
const maxBytes = 3 << 17

// Parse reads settings from the text of a file. Anything that it doesn't know,
// can't use or misses is an *Error, and nothing usable is returned then. What
// may be left out has its usual value.
func Parse(file string, text []byte) (Settings, error) {
	s, _, err := parse(file, text)
	return s, err
}

// parse is Parse, and tells which keys the file gives under their former names.
func parse(file string, text []byte) (Settings, []Renamed, error) {
	whole := func(line int, words string) (Settings, []Renamed, error) {
		return Settings{}, nil, &Error{file, []Fault{{Line: line, Words: words}}}
	}
	text = bytes.TrimPrefix(text, []byte("\xEF\xBB\xBF"))
	switch {
	case len(text) > maxBytes:
		return whole(1, fmt.Sprintf("the file has %d bytes; must be at most %d", len(text), maxBytes))
	case !utf8.Valid(text):
		return whole(1+bytes.Count(text[:badByte(text)], []byte("\n")), "not text in UTF-8; must be a TOML file")
	}
	var tree map[string]any
	if err := toml.Unmarshal(text, &tree); err != nil {
		return Settings{}, nil, syntax(file, err)
	}
	places := linesOf(text)
	if version, ok := tree["version"].(int64); ok && version > Version {
		return Settings{}, nil, &Error{file, []Fault{{places.of("version"), "version",
			fmt.Sprintf("%d is newer than this program, which reads %d; use the program that wrote it", version,
				Version)}}}
	}
	r := reader{schema: newSchema(), tree: tree}
	s := Default()
	r.section(reflect.ValueOf(&s).Elem(), tree, "")
	s.check(r.schema, &r.faults)
	r.locate(places)
	if len(r.all) == 0 {
		return s, r.renamed, nil
	}
	for i := range r.all {
		r.all[i].Line = places.of(r.all[i].Key)
	}
	slices.SortStableFunc(r.all, func(a, b Fault) int {
		if a.Line != b.Line {
			return a.Line - b.Line
		}
		return strings.Compare(a.Key, b.Key)
	})
	return Settings{}, nil, &Error{file, r.all}
}

func badByte(text []byte) int {
	at := 0
	for at < len(text) {
		r, size := utf8.DecodeRune(text[at:])
		if r == utf8.RuneError && size == 1 {
			return at
		}
		at += size
	}
	return at
}

// syntax turns what the TOML decoder says into one line.
func syntax(file string, err error) *Error {
	fault := Fault{Line: 1, Words: "not TOML: " + oneLine(err.Error())}
	if decode, ok := errors.AsType[*toml.DecodeError](err); ok {
		fault.Line, _ = decode.Position()
		for _, part := range decode.Key() {
			fault.Key = joined(fault.Key, bare(part))
		}
	}
	return &Error{file, []Fault{fault}}
}

func oneLine(words string) string {
	words = strings.TrimPrefix(words, "toml: ")
	return strings.Map(func(r rune) rune {
		if r < ' ' {
			return ' '
		}
		return r
	}, words)
}

// reader fills settings from a tree of values.
type reader struct {
	schema
	faults
	tree    map[string]any
	renamed []Renamed
}

// section fills a struct. What the file leaves out stays as it is.
func (r *reader) section(to reflect.Value, from map[string]any, key string) {
	r.rename(from, key)
	meant := r.unknown(to.Type(), from, key)
	for field := range fieldsOf(to.Type()) {
		name := tagOf(field)
		at := joined(key, name)
		value, given := from[name]
		member := to.FieldByIndex(field.Index)
		switch {
		case isLeaf(field.Type) && given:
			r.leaf(member, value, at)
		case isLeaf(field.Type):
			if known, _ := r.field(at); known.Needed && !meant[name] && !r.unfitted(at) {
				r.add(at, "is missing; must be %s", known.Allowed())
			}
		case field.Type.Kind() == reflect.Slice:
			r.list(member, value, given, at)
		case !given:
			r.leftOut(field.Type, at)
		default:
			r.table(member, value, at)
		}
	}
}

// table fills a struct or the readings from what should be a table.
func (r *reader) table(to reflect.Value, value any, key string) {
	from, ok := value.(map[string]any)
	if !ok {
		r.add(key, "is %s; must be a section, [%s]", described(value), key)
		return
	}
	if to.Kind() != reflect.Map {
		r.section(to, from, key)
		return
	}
	for name, limits := range from {
		reading, known := r.readings[name]
		if !known {
			r.add(joined(key, bare(name)), "unknown reading; %s", suggestion(name, readingKeys()))
			continue
		}
		member := reflect.New(to.Type().Elem()).Elem()
		member.Set(reflect.ValueOf(none(reading.Usual.Hysteresis, reading.Usual.HoldS)))
		r.table(member, limits, joined(key, name))
		to.SetMapIndex(reflect.ValueOf(name), member)
	}
}

// list fills a list of sections.
func (r *reader) list(to reflect.Value, value any, given bool, key string) {
	if !given {
		return
	}
	members, ok := value.([]any)
	if !ok {
		r.add(key, "is %s; must be a list of sections, [[%s]]", described(value), indexes.ReplaceAllString(key, ""))
		return
	}
	if maximum := r.sections[patternOf(key)].Max; len(members) > maximum {
		r.add(key, "there are %d; at most %d", len(members), maximum)
		return
	}
	for i, from := range members {
		member := reflect.New(to.Type().Elem()).Elem()
		switch member.Interface().(type) {
		case Band:
			member.Set(reflect.ValueOf(defaultBand()))
		case Feed:
			member.Set(reflect.ValueOf(defaultFeed()))
		}
		r.table(member, from, fmt.Sprintf("%s[%d]", key, i))
		to.Set(reflect.Append(to, member))
	}
}

// leftOut notes a whole section that isn't there but holds keys that are needed.
func (r *reader) leftOut(t reflect.Type, key string) {
	if t.Kind() == reflect.Map {
		return
	}
	var needed []string
	for field := range fieldsOf(t) {
		at := joined(key, tagOf(field))
		if !isLeaf(field.Type) {
			r.leftOut(field.Type, at)
		} else if known, _ := r.field(at); known.Needed {
			needed = append(needed, tagOf(field))
		}
	}
	if len(needed) > 0 {
		r.add(key, "this section is missing; it must give %s", strings.Join(needed, ", "))
	}
}

// unfitted reports that a key belongs to an axis that the file says isn't fitted.
func (r *reader) unfitted(key string) bool {
	parts := strings.Split(key, ".")
	if len(parts) != 3 || parts[0] != "axes" {
		return false
	}
	axes, _ := r.tree["axes"].(map[string]any)
	axis, _ := axes[parts[1]].(map[string]any)
	fitted, given := axis["fitted"].(bool)
	return given && !fitted
}

// unknown notes the keys of a table that a struct doesn't have, and returns
// those that may have been meant: of a misspelt key one line is enough.
func (r *reader) unknown(t reflect.Type, from map[string]any, key string) (meant map[string]bool) {
	var names []string
	for field := range fieldsOf(t) {
		names = append(names, tagOf(field))
	}
	meant = map[string]bool{}
	for name := range from {
		if slices.Contains(names, name) {
			continue
		}
		r.add(joined(key, bare(name)), "unknown key; %s", suggestion(name, names))
		if near := nearest(name, names); near != "" {
			meant[near] = true
			r.bad[joined(key, near)] = true
		}
	}
	return meant
}
