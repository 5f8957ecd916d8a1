package practice

import (
	"testing"
	"time"
)

// Each change of the scale goes on from the moment that was reached.
func TestTimeIsContinuous(t *testing.T) {
	from := time.Date(2027, 4, 14, 18, 51, 0, 0, time.UTC)
	var elapsed time.Duration
	sky := NewTime(from, func() time.Duration { return elapsed })
	want := from
	for _, part := range []struct {
		scale int
		lasts time.Duration
	}{{1, 7 * time.Second}, {60, 10 * time.Second}, {10, 90 * time.Second}, {1, time.Hour}} {
		sky.SetScale(part.scale)
		if got := sky.Now(); !got.Equal(want) || sky.Scale() != part.scale {
			t.Errorf("at %v it is %v and runs %d times as fast, want %v, %d", elapsed, got, sky.Scale(), want,
				part.scale)
		}
		elapsed += part.lasts
		want = want.Add(time.Duration(part.scale) * part.lasts)
		if got := sky.Now(); !got.Equal(want) {
			t.Errorf("%d times as fast for %v: it is %v, want %v", part.scale, part.lasts, got, want)
		}
	}
	if sky.SetScale(0); sky.Scale() != 1 {
		t.Errorf("a scale of 0 is taken as %d", sky.Scale())
	}
}
