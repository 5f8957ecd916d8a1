package settings

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"unicode/utf8"

	"beamhelm/app/settings/replace"
)

// Write puts settings in place of a file, whole and commented: see replace.File
// for links and permissions. Settings that couldn't be read again are an *Error and
// nothing is written. Comments that the operator put into the old file are lost.
func Write(path string, s Settings) error {
	if faults := s.Check(); len(faults) > 0 {
		return &Error{Faults: faults}
	}
	return replace.File(path, s.Text())
}

// head stands at the top of every file.
const head = `# Beamhelm's settings. Check changes with: beamhelm settings check FILE
# After each key: allowed values, unit, default, purpose.
# A key without a default must be given. Angles are in degrees; azimuth from
# north through east, elevation up from the horizon.
`

// Text is the settings as a commented file, every key with its unit, range and purpose.
func (s Settings) Text() []byte {
	w := writer{schema: newSchema()}
	w.text.WriteString(head + "\n")
	w.section(reflect.ValueOf(s), "")
	return []byte(w.text.String())
}

type writer struct {
	schema
	text strings.Builder
}

// line is a key with its value and what is said of it; rest follows on lines of its own.
type line struct{ key, comment, rest string }

// section writes the values of a struct, then its sections.
func (w *writer) section(v reflect.Value, key string) {
	var own []line
	for field := range fieldsOf(v.Type()) {
		if isLeaf(field.Type) {
			own = append(own, w.value(v.FieldByIndex(field.Index), joined(key, tagOf(field))))
		}
	}
	w.lines(own, "")
	for field := range fieldsOf(v.Type()) {
		if isLeaf(field.Type) {
			continue
		}
		member, at := v.FieldByIndex(field.Index), joined(key, tagOf(field))
		switch field.Type.Kind() {
		case reflect.Slice:
			w.list(member, at)
		case reflect.Map:
			w.limits(member.Interface().(map[string]Limits), at)
		default:
			if isLeaf(field.Type.Field(0).Type) {
				w.heading(at, "[%s]")
			}
			w.section(member, at)
		}
	}
}

// heading begins a section.
func (w *writer) heading(key, form string) {
	why := w.sections[strings.TrimSuffix(patternOf(key), "[]")].Why
	name := indexes.ReplaceAllString(key, "")
	fmt.Fprintf(&w.text, "\n# %s\n"+form+"\n", why, name)
}

// list writes a list of sections; of an empty one, a member as a comment.
func (w *writer) list(v reflect.Value, key string) {
	for i := range v.Len() {
		at := fmt.Sprintf("%s[%d]", key, i)
		w.heading(at, "[[%s]]")
		w.section(v.Index(i), at)
	}
	if v.Len() > 0 {
		return
	}
	at := key + "[0]"
	w.heading(at, "# [[%s]]")
	var own []line
	empty := reflect.New(v.Type().Elem()).Elem()
	eachLeaf(empty, at, func(key string, v reflect.Value) { own = append(own, w.value(v, key)) })
	w.lines(own, "# ")
}

// limits writes the readings, a line each.
func (w *writer) limits(limits map[string]Limits, key string) {
	w.heading(key, "[%s]")
	var own []line
	for _, reading := range Readings() {
		set, given := limits[reading.Key]
		if !given {
			continue
		}
		var parts []string
		eachLeaf(reflect.ValueOf(set), "", func(name string, v reflect.Value) {
			if value := literal(v); value != "" {
				parts = append(parts, name+" = "+value)
			}
		})
		own = append(own, line{
			key: reading.Key + " = { " + strings.Join(parts, ", ") + " }",
			comment: fmt.Sprintf("%s to %s %s; %s", number(reading.Min), number(reading.Max), reading.Unit,
				reading.Why),
		})
	}
	w.lines(own, "")
}

func (w *writer) value(v reflect.Value, key string) line {
	field, known := w.field(key)
	if !known {
		panic("settings: no row for " + key)
	}
	parts := strings.Split(key, ".")
	name := parts[len(parts)-1] + " = "
	l := line{key: name + literal(v), comment: field.Allowed()}
	if points, ok := v.Interface().([]Point); ok && len(points) > 0 {
		l.key, l.rest = name+"[", "]\n"
		for few := range slices.Chunk(points, 8) {
			inside := literal(reflect.ValueOf(few))
			l.rest = l.rest[:len(l.rest)-2] + "  " + inside[1:len(inside)-1] + ",\n]\n"
		}
	}
	if field.Usual != "" {
		l.comment += ", default " + field.Usual
	}
	l.comment += "; " + field.Why
	return l
}

// farthest is how far right comments are put in line.
const farthest = 40

// lines writes keys with their comments in line.
func (w *writer) lines(own []line, before string) {
	column := 0
	for _, l := range own {
		column = max(column, min(farthest, utf8.RuneCountInString(l.key)))
	}
	for _, l := range own {
		gap := max(0, column-utf8.RuneCountInString(l.key))
		fmt.Fprintf(&w.text, "%s%s%s  # %s\n%s", before, l.key, strings.Repeat(" ", gap), l.comment, l.rest)
	}
}
