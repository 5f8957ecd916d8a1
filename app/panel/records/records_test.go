package records

import (
	"context"
	"errors"
	"image"
	"testing"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// shelf is a source whose answers are set by the test.
type shelf struct {
	points []journal.Point
	err    error
	filter journal.Filter
}

func (s *shelf) Trends(_ context.Context, keys []string, _, _ time.Time, _ int) ([]journal.Trend, error) {
	return []journal.Trend{{Key: keys[0], Step: time.Minute, Points: s.points}}, s.err
}

func (s *shelf) Happenings(_ context.Context, f journal.Filter) ([]journal.Happening, error) {
	s.filter = f
	return []journal.Happening{{At: f.To, Grade: desk.AlarmGrade, Words: "Link lost"}}, nil
}

func hour(t *testing.T) question {
	t.Helper()
	series, ok := journal.SeriesOf("drive_supply_v")
	if !ok {
		t.Fatal("no series drive_supply_v")
	}
	from := time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	return question{series: series, from: from, to: from.Add(time.Hour), words: "link"}
}

func TestWhatIsAskedAndSaid(t *testing.T) {
	q := hour(t)
	s := &shelf{points: []journal.Point{{At: q.from, Least: 23.94, Mean: 24, Most: 24.1}, {At: q.from.Add(time.Minute), Least: 22.1, Mean: 24, Most: 24}}}
	a := q.ask(s)
	if got := extentWords(a); got != "22.1 to 24.1 V" {
		t.Errorf("extent %q", got)
	}
	if f := s.filter; f.Words != "link" || !f.From.Equal(q.from) || !f.To.Equal(q.to) || len(a.happenings) != 1 {
		t.Errorf("asked for %+v, got %v", f, a.happenings)
	}
	s.points, s.err = nil, errors.New("the disk is gone")
	if a = q.ask(s); !errors.Is(a.err, s.err) || extentWords(a) != "nothing recorded in this time" {
		t.Errorf("%v, %q", a.err, extentWords(a))
	}
}

// TestTrendIsWhereItShouldBe: a point of the first minute stands at the left
// edge, the gap behind it stays empty, the alarm at the end is marked there.
func TestTrendIsWhereItShouldBe(t *testing.T) {
	q := hour(t)
	a := q.ask(&shelf{points: []journal.Point{
		{At: q.from, Least: 20, Mean: 21, Most: 22}, {At: q.from.Add(50 * time.Minute), Least: 30, Mean: 31, Most: 32}}})
	picture := draw(a, 600, 200, 1)
	p := widget.Current()
	well := p.Well
	inked := func(area image.Rectangle) (count int) {
		for y := area.Min.Y; y < area.Max.Y; y++ {
			for x := area.Min.X; x < area.Max.X; x++ {
				r, g, b, _ := picture.At(x, y).RGBA()
				lr, lg, lb, _ := p.Line.RGBA()
				wr, wg, wb, _ := well.RGBA()
				if (r != wr || g != wg || b != wb) && (r != lr || g != lg || b != lb) {
					count++
				}
			}
		}
		return count
	}
	low, high := inked(image.Rect(0, 160, 10, 196)), inked(image.Rect(500, 4, 510, 40))
	gap, mark := inked(image.Rect(20, 0, 490, 180)), inked(image.Rect(590, 188, 600, 200))
	if low < 100 || high < 100 || gap != 0 || mark < 10 {
		t.Errorf("inked: %d low left, %d high right, %d in the gap, %d of the mark", low, high, gap, mark)
	}
	if _, _, ok := bounds(nil); ok {
		t.Error("nothing has bounds")
	}
}

func TestSpansHaveWordsOfTheirOwn(t *testing.T) {
	seen := map[string]bool{}
	for _, s := range spans() {
		name := view.Name(spanWords(s))
		if seen[name] {
			t.Errorf("%q stands for two spans", name)
		}
		seen[name] = true
	}
}

// TestEveryReadingIsInAGroupThatFits: 22 lines of a menu fit into a window 743 units high.
func TestEveryReadingIsInAGroupThatFits(t *testing.T) {
	count := map[string]int{}
	for _, s := range journal.AllSeries() {
		count[groupOf(s)]++
	}
	for _, g := range groups() {
		if n := count[g]; n < 5 || n > 22 {
			t.Errorf("%s: %d readings", g, n)
		}
	}
}
