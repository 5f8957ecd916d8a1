package settings

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
)

func TestParseHorizon(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       []Point
		says       string
	}{
		{"plain", "0,2\n90,5.5\n", []Point{{0, 2}, {90, 5.5}}, ""},
		{"heading, comment, disorder, beyond a turn", "az,el\n# east\n450, 3\n-10,1\n10,2\n",
			[]Point{{10, 2}, {90, 3}, {350, 1}}, ""},
		{"twice the same", "10,2\r\n370,4\r\n", []Point{{10, 4}}, ""},
		{"more columns", "0,1,hill\n", []Point{{0, 1}}, ""},
		{"words within", "0,1\nten,2\n", nil, "line 2"},
		{"too high", "0,1\n5,95\n", nil, "line 2: elevation 95"},
		{"one column", "0\n", nil, "line 1"},
		{"not a number", "NaN,1\n", nil, "line 1"},
		{"nothing", "az,el\n", nil, "no point"},
		{"quotes", "\"0,1\n", nil, "horizon"},
	} {
		got, err := ParseHorizon(strings.NewReader(c.text))
		if (err == nil) != (c.says == "") || err != nil && !strings.Contains(err.Error(), c.says) ||
			!reflect.DeepEqual(got, c.want) {
			t.Errorf("%s: %v, %v", c.name, got, err)
		}
	}
	var many strings.Builder
	for i := range MaxHorizonPoints + 1 {
		fmt.Fprintf(&many, "%g,1\n", float64(i)/3)
	}
	if _, err := ParseHorizon(strings.NewReader(many.String())); err == nil {
		t.Error("too many points are taken")
	}
	d := NewDraft(Practice())
	points, err := ParseHorizon(strings.NewReader("0,2\n180,4\n"))
	if wrong := d.Set("horizon.points", WrittenHorizon(points)); err != nil || wrong != "" ||
		!reflect.DeepEqual(d.Settings().Horizon.Points, points) {
		t.Errorf("%v %q %v", err, wrong, d.Settings().Horizon.Points)
	}
}

// A new point takes the place of one at the same azimuth, also across north.
func TestWithHorizonPoint(t *testing.T) {
	points := []Point{{0.2, 3}, {90, 5}}
	got := WithHorizonPoint(points, Point{359.9, 7})
	if want := []Point{{90, 5}, {359.9, 7}}; !slices.Equal(got, want) || points[0].ElDeg != 3 {
		t.Errorf("%v, want %v; before %v", got, want, points)
	}
	if got = WithHorizonPoint(got, Point{45, 1}); !slices.Equal(got, []Point{{45, 1}, {90, 5}, {359.9, 7}}) {
		t.Errorf("%v", got)
	}
}
