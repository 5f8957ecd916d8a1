package settings

import (
	"fmt"
	"net"
	"net/netip"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Check returns everything that is wrong with settings: values out of range,
// then values that don't go together. Empty: they can be used.
func (s Settings) Check() []Fault {
	var f faults
	s.check(newSchema(), &f)
	return f.all
}

// check adds what is wrong to faults found already.
func (s Settings) check(table schema, f *faults) {
	eachLeaf(reflect.ValueOf(s), "", func(key string, v reflect.Value) {
		field, known := table.field(key)
		if !known || !f.fine(key) || s.ignored(key) {
			return
		}
		if wrong := field.wrong(v); wrong != "" {
			f.add(key, "%s; must be %s", wrong, field.Allowed())
		}
	})
	s.checkUnknownReadings(table, f)
	s.checkBands(f)
	s.checkLink(f)
	s.checkMeter(f)
	s.checkRadio(f)
	s.checkAxis(f, "axes.azimuth", s.Axes.Azimuth)
	s.checkAxis(f, "axes.elevation", s.Axes.Elevation)
	s.checkSky(f)
	s.checkPlaces(f)
	s.checkRules(f)
	s.checkReadings(f)
}

// ignored reports that a key belongs to an axis that isn't fitted.
func (s Settings) ignored(key string) bool {
	return !s.Axes.Azimuth.Fitted && strings.HasPrefix(key, "axes.azimuth.") ||
		!s.Axes.Elevation.Fitted && strings.HasPrefix(key, "axes.elevation.")
}

// wrong says what is wrong with a value by its own range; "" when it is fine.
func (f Field) wrong(v reflect.Value) string {
	if f.Kind == Choice {
		chosen := literal(v)
		if v.Kind() == reflect.String {
			chosen = v.String()
		}
		if !slices.Contains(f.Choices, chosen) {
			return shown(v) + " is not one of them"
		}
		return ""
	}
	switch value := v.Interface().(type) {
	case Optional:
		if value.Given {
			return f.outside(value.Value)
		}
	case []float64:
		return firstOf(value, f.outside)
	case []string:
		return firstOf(value, f.badText)
	case []Point:
		return badHorizon(value)
	case float64:
		return f.outside(value)
	case int:
		return f.outside(float64(value))
	default:
		if v.Kind() == reflect.String {
			return f.badText(v.String())
		}
	}
	return ""
}

func firstOf[T any](values []T, wrong func(T) string) string {
	for _, value := range values {
		if words := wrong(value); words != "" {
			return words
		}
	}
	return ""
}

// outside is written so that not-a-number lies outside.
func (f Field) outside(v float64) string {
	if v >= f.Min && v <= f.Max {
		return ""
	}
	return number(v) + " is out of range"
}

func (f Field) badText(words string) string {
	length := utf8.RuneCountInString(words)
	switch {
	case !utf8.ValidString(words) || strings.ContainsFunc(words, func(r rune) bool { return !unicode.IsPrint(r) }):
		return "holds characters that can't be shown"
	case float64(length) > f.Max:
		return fmt.Sprintf("is %d characters long", length)
	case float64(length) < f.Min:
		return "is empty"
	case length > 0 && strings.TrimSpace(words) != words:
		return "begins or ends with a space"
	case length > 0 && !f.Form.holds(words):
		return strconv.Quote(words) + map[Form]string{CallSign: " is no call sign", Host: " is no host"}[f.Form]
	}
	return ""
}

// holds says whether words have the form. A host is a name by RFC 952 and RFC 1123, section 2.1 (labels of letters,
// figures and hyphens; the underscores of local networks are taken too), or an address by RFC 4291.
func (f Form) holds(words string) bool {
	switch f {
	case CallSign:
		return callSign.MatchString(words)
	case Host:
		host, port, err := net.SplitHostPort(words)
		if err != nil { // without a port
			host, port = words, "1"
		}
		n, err := strconv.ParseUint(port, 10, 16)
		if err != nil || n == 0 {
			return false
		}
		_, err = netip.ParseAddr(host)
		return err == nil || len(host) <= 253 && hostName.MatchString(host)
	}
	return true
}

var (
	callSign = regexp.MustCompile(`^[A-Za-z0-9/]+$`)
	hostName = regexp.MustCompile(`^[A-Za-z0-9_]([A-Za-z0-9_-]{0,61}[A-Za-z0-9_])?` +
		`(\.[A-Za-z0-9_]([A-Za-z0-9_-]{0,61}[A-Za-z0-9_])?)*\.?$`)
)

// badHorizon says what is wrong with the points of a horizon.
func badHorizon(points []Point) string {
	if len(points) > MaxHorizonPoints {
		return fmt.Sprintf("has %d points, more than %d", len(points), MaxHorizonPoints)
	}
	for i, p := range points {
		switch {
		case !(p.AzDeg >= 0 && p.AzDeg < 360):
			return fmt.Sprintf("point %d has azimuth %s", i+1, number(p.AzDeg))
		case !(p.ElDeg >= -10 && p.ElDeg <= 90):
			return fmt.Sprintf("point %d has elevation %s", i+1, number(p.ElDeg))
		case i > 0 && p.AzDeg <= points[i-1].AzDeg:
			return fmt.Sprintf("point %d has azimuth %s after %s", i+1, number(p.AzDeg), number(points[i-1].AzDeg))
		}
	}
	return ""
}

// shown is a value as a fault names it: short, and on one line.
func shown(v reflect.Value) string {
	words := literal(v)
	if v.Kind() == reflect.String {
		words = strconv.Quote(v.String())
	}
	if runes := []rune(words); len(runes) > 60 {
		return string(runes[:60]) + "..."
	}
	return words
}

// checkUnknownReadings finds limits of readings that don't exist, which a map can hold.
func (s Settings) checkUnknownReadings(table schema, f *faults) {
	var unknown []string
	for key := range s.Readings {
		if _, known := table.readings[key]; !known {
			unknown = append(unknown, key)
		}
	}
	slices.Sort(unknown)
	for _, key := range unknown {
		f.add("readings."+key, "is no reading; must be one of %s", strings.Join(readingKeys(), ", "))
	}
}

func readingKeys() []string {
	var keys []string
	for _, r := range Readings() {
		keys = append(keys, r.Key)
	}
	return keys
}

// checkCount checks how many members a list has.
func checkCount(f *faults, key string, count, minimum, maximum int) {
	switch {
	case !f.fine(key):
	case count < minimum:
		f.add(key, "there is none; at least %d is needed", minimum)
	case count > maximum:
		f.add(key, "there are %d; at most %d", count, maximum)
	}
}

// checkNames checks that no two members of a list have the same name.
func checkNames[T any](f *faults, key string, members []T, name func(T) string) {
	for i, member := range members {
		first := slices.IndexFunc(members, func(other T) bool { return name(other) == name(member) })
		at := fmt.Sprintf("%s[%d].name", key, i)
		if first < i && f.fine(at) {
			f.add(at, "%s is there already; each must have its own", quoted(name(member)))
		}
	}
}
