package measuring

import (
	"testing"
	"time"
)

func TestProgress(t *testing.T) {
	const s = time.Second
	for name, c := range map[string]struct {
		course
		now         time.Duration
		done, steps int
		want        Progress
	}{
		"at its beginning":             {course{100 * s, 100 * s}, 100 * s, 0, 4, Progress{1, 4, 40 * s}},
		"in the first step":            {course{100 * s, 100 * s}, 104 * s, 0, 4, Progress{1, 4, 36 * s}},
		"its steps are slower":         {course{100 * s, 120 * s}, 120 * s, 1, 4, Progress{2, 4, 60 * s}},
		"it doesn't grow within one":   {course{100 * s, 120 * s}, 125 * s, 1, 4, Progress{2, 4, 55 * s}},
		"the last step":                {course{100 * s, 160 * s}, 165 * s, 3, 4, Progress{4, 4, 15 * s}},
		"longer than it should be":     {course{100 * s, 160 * s}, 190 * s, 3, 4, Progress{4, 4, s}},
		"all done, but for the result": {course{100 * s, 180 * s}, 180 * s, 4, 4, Progress{4, 4, s}},
	} {
		if got := c.progress(c.now, c.done, c.steps, 10*s); got != c.want {
			t.Errorf("%s: %+v, want %+v", name, got, c.want)
		}
	}
}
