package settings

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"time"

	"github.com/pelletier/go-toml/v2"
)

// leaf fills one value; a value of the wrong kind is a fault.
func (r *reader) leaf(to reflect.Value, from any, key string) {
	field, _ := r.field(key)
	wrong := convert(to, from)
	if wrong != "" && !r.unfitted(key) {
		r.add(key, "%s; must be %s", wrong, field.Allowed())
	}
}

// convert sets a value from what TOML holds; it returns what is wrong with that.
func convert(to reflect.Value, from any) string {
	switch kindOf(to.Type()) {
	case Number:
		v, ok := asNumber(from)
		if !ok {
			return described(from) + " is not a number"
		}
		if to.Type() == reflect.TypeFor[Optional]() {
			to.Set(reflect.ValueOf(Some(v)))
		} else {
			to.SetFloat(v)
		}
	case Whole:
		v, ok := from.(int64)
		if !ok || v > math.MaxInt32 || v < math.MinInt32 {
			return described(from) + " is not a whole number in this range"
		}
		to.SetInt(v)
	case Text:
		v, ok := from.(string)
		if !ok {
			return described(from) + " is not text"
		}
		to.SetString(v)
	case YesNo:
		v, ok := from.(bool)
		if !ok {
			return described(from) + " is neither true nor false"
		}
		to.SetBool(v)
	default:
		return convertList(to, from)
	}
	return ""
}

// convertList sets a list of numbers, texts or points.
func convertList(to reflect.Value, from any) string {
	members, ok := from.([]any)
	if !ok {
		return described(from) + " is not a list"
	}
	list := reflect.MakeSlice(to.Type(), len(members), len(members))
	for i, member := range members {
		if to.Type().Elem() == reflect.TypeFor[Point]() {
			p, ok := asPoint(member)
			if !ok {
				return fmt.Sprintf("member %d is %s", i+1, described(member))
			}
			list.Index(i).Set(reflect.ValueOf(p))
			continue
		}
		if wrong := convert(list.Index(i), member); wrong != "" {
			return fmt.Sprintf("member %d: %s", i+1, wrong)
		}
	}
	to.Set(list)
	return ""
}

func asPoint(from any) (Point, bool) {
	pair, ok := from.([]any)
	if !ok || len(pair) != 2 {
		return Point{}, false
	}
	az, isAz := asNumber(pair[0])
	el, isEl := asNumber(pair[1])
	return Point{az, el}, isAz && isEl
}

func asNumber(from any) (float64, bool) {
	switch v := from.(type) {
	case float64:
		return v, true
	case int64:
		return float64(v), true
	}
	return 0, false
}

// described names a value of the wrong kind.
func described(from any) string {
	switch v := from.(type) {
	case string:
		return shown(reflect.ValueOf(v))
	case bool, int64:
		return fmt.Sprint(v)
	case float64:
		return number(v)
	case []any:
		return fmt.Sprintf("a list of %d", len(v))
	case map[string]any:
		return "a section"
	case time.Time, toml.LocalDate, toml.LocalTime, toml.LocalDateTime:
		return "a date or time"
	}
	return fmt.Sprintf("%T", from)
}

// suggestion says what an unknown name may have been meant to be, or what is allowed.
func suggestion(name string, names []string) string {
	if near := nearest(name, names); near != "" {
		return "is " + near + " meant?"
	}
	return "allowed here: " + strings.Join(names, ", ")
}

// nearest is the one of the names that another was probably meant to be, else "".
func nearest(name string, names []string) string {
	best, minimum := "", 4.0
	for _, candidate := range names {
		d := distance(name, candidate)
		// Of two equally near, the one that begins alike is likelier.
		weight := float64(d) - float64(alike(name, candidate))/1000
		if d <= 3 && d <= len(candidate)/3 && weight < minimum {
			best, minimum = candidate, weight
		}
	}
	return best
}

// alike counts the letters with which both words begin.
func alike(a, b string) int {
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return i
		}
	}
	return min(len(a), len(b))
}

// distance counts the letters to put in, take out or change to make one word
// of another (Levenshtein 1966).
func distance(a, b string) int {
	if len(a) > 100 {
		return len(a)
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, diagonal+1)
		}
	}
	return row[len(b)]
}
