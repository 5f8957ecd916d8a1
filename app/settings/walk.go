package settings

import (
	"fmt"
	"reflect"
	"strings"
)

// isLeaf reports that a type is written as one value rather than as a section.
func isLeaf(t reflect.Type) bool {
	switch t.Kind() {
	case reflect.Struct:
		return t == reflect.TypeFor[Optional]()
	case reflect.Slice:
		return t.Elem().Kind() != reflect.Struct || t.Elem() == reflect.TypeFor[Point]()
	case reflect.Map:
		return false
	}
	return true
}

// kindOf is the kind of a leaf by its type alone.
func kindOf(t reflect.Type) Kind {
	switch t.Kind() {
	case reflect.Int:
		return Whole
	case reflect.String:
		return Text
	case reflect.Bool:
		return YesNo
	case reflect.Slice:
		switch t.Elem().Kind() {
		case reflect.Float64:
			return Numbers
		case reflect.String:
			return Texts
		}
		return Points
	}
	return Number
}

// kindsByKey are the kinds of all keys of the table, from the types.
func kindsByKey() map[string]Kind {
	kinds := map[string]Kind{}
	var into func(t reflect.Type, key string)
	into = func(t reflect.Type, key string) {
		if isLeaf(t) {
			kinds[key] = kindOf(t)
			return
		}
		switch t.Kind() {
		case reflect.Slice:
			into(t.Elem(), key+"[]")
		case reflect.Map:
			into(t.Elem(), key+".*")
		default:
			for field := range fieldsOf(t) {
				into(field.Type, patternOf(joined(key, tagOf(field))))
			}
		}
	}
	into(reflect.TypeFor[Settings](), "")
	return kinds
}

// fieldsOf yields the fields of a struct in their order.
func fieldsOf(t reflect.Type) func(yield func(reflect.StructField) bool) {
	return func(yield func(reflect.StructField) bool) {
		for i := range t.NumField() {
			if !yield(t.Field(i)) {
				return
			}
		}
	}
}

func tagOf(field reflect.StructField) string { return field.Tag.Get("toml") }

func joined(key, name string) string {
	if key == "" {
		return name
	}
	return key + "." + name
}

// usualByKey are the usual values as written, of every key that has one.
func usualByKey() map[string]string {
	s := Default()
	band := defaultBand()
	band.Feeds = []Feed{defaultFeed()}
	s.Bands = []Band{band}
	s.ClosedSectors = []ClosedSector{{}}
	usual := map[string]string{}
	eachLeaf(reflect.ValueOf(s), "", func(key string, v reflect.Value) {
		if !strings.HasPrefix(key, "readings.") {
			usual[patternOf(key)] = literal(v)
		}
	})
	return usual
}

// eachLeaf visits every value of real settings with its key, in the order of the file.
func eachLeaf(v reflect.Value, key string, visit func(key string, v reflect.Value)) {
	if isLeaf(v.Type()) {
		visit(key, v)
		return
	}
	switch v.Kind() {
	case reflect.Slice:
		for i := range v.Len() {
			eachLeaf(v.Index(i), fmt.Sprintf("%s[%d]", key, i), visit)
		}
	case reflect.Map:
		for _, reading := range Readings() {
			if limits := v.MapIndex(reflect.ValueOf(reading.Key)); limits.IsValid() {
				eachLeaf(limits, joined(key, reading.Key), visit)
			}
		}
	default:
		for field := range fieldsOf(v.Type()) {
			eachLeaf(v.FieldByIndex(field.Index), joined(key, tagOf(field)), visit)
		}
	}
}

// literal writes a value as TOML; "" for an optional figure that isn't given.
func literal(v reflect.Value) string {
	switch value := v.Interface().(type) {
	case Optional:
		if !value.Given {
			return ""
		}
		return number(value.Value)
	case []Point:
		return listed(value, func(p Point) string { return "[" + number(p.AzDeg) + ", " + number(p.ElDeg) + "]" })
	case []float64:
		return listed(value, number)
	case []string:
		return listed(value, quoted)
	}
	switch v.Kind() {
	case reflect.String:
		return quoted(v.String())
	case reflect.Float64:
		return number(v.Float())
	}
	return fmt.Sprint(v.Interface())
}

func listed[T any](values []T, write func(T) string) string {
	words := make([]string, len(values))
	for i, value := range values {
		words[i] = write(value)
	}
	return "[" + strings.Join(words, ", ") + "]"
}
