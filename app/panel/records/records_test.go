package records

import (
	"context"
	"encoding/csv"
	"errors"
	"math"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// shelf is a source whose answers are set by the test.
type shelf struct {
	trends  map[string][]journal.Point
	before  []journal.Point // answered where the time lies before
	from    time.Time
	err     error
	filters []journal.Filter
	places  []journal.Place
}

func (s *shelf) Trends(_ context.Context, keys []string, from, _ time.Time, _ int) (all []journal.Trend, err error) {
	for _, k := range keys {
		points := s.trends[k]
		if from.Before(s.from) {
			points = s.before
		}
		all = append(all, journal.Trend{Key: k, Step: time.Minute, Points: points})
	}
	return all, s.err
}

func (s *shelf) Entries(_ context.Context, f journal.Filter) ([]journal.Entry, error) {
	s.filters = append(s.filters, f)
	one := journal.Entry{What: journal.WhatEvent, At: f.From.Add(30 * time.Minute), Grade: desk.AlarmGrade,
		Words: "Link lost"}
	if len(f.Kinds) == 1 {
		one.What = f.Kinds[0]
	}
	return []journal.Entry{one}, nil
}

func (s *shelf) Places(context.Context, time.Time, time.Time, int) ([]journal.Place, error) {
	return s.places, s.err
}

func seriesOf(t *testing.T, key string) journal.Series {
	t.Helper()
	s, ok := journal.SeriesOf(key)
	if !ok {
		t.Fatalf("no series %s", key)
	}
	return s
}

func hour(t *testing.T) question {
	from := time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	return question{
		readings: []journal.Series{seriesOf(t, "drive_supply_v"), seriesOf(t, "azimuth_current_a"),
			seriesOf(t, "wind_mps")},
		from: from, to: from.Add(time.Hour), earlier: 24 * time.Hour, filter: filter{words: "link"},
	}
}

// wave is an hour of a reading, with a gap of ten minutes.
func wave(from time.Time, mean, size float64, every float64) (points []journal.Point) {
	for i := range 60 {
		if i >= 35 && i < 45 {
			continue
		}
		v := mean + size*math.Sin(float64(i)/every)
		points = append(points, journal.Point{At: from.Add(time.Duration(i) * time.Minute), Min: v - size/3, Mean: v,
			Max: v + size/4})
	}
	return points
}

func shelfOf(q question) *shelf {
	return &shelf{from: q.from, before: wave(q.from.Add(-24*time.Hour), 23.6, 0.4, 5),
		trends: map[string][]journal.Point{
			"drive_supply_v": wave(q.from, 24, 0.5, 6), "azimuth_current_a": wave(q.from, 2, 1, 3),
			"wind_mps": wave(q.from, 5, 3, 9),
		}}
}

func TestWhatIsAskedAndSaid(t *testing.T) {
	q := hour(t)
	s := shelfOf(q)
	a := q.ask(t.Context(), s)
	if got := a.extentWords(0, time.Time{}); got != "23.3 to 24.6 V, left" {
		t.Errorf("extent %q", got)
	}
	if got := a.extentWords(0, q.from.Add(90*time.Second)); got != "24.1 V at 16:01:30" {
		t.Errorf("at a moment %q", got)
	}
	if got := a.extentWords(0, q.from.Add(40*time.Minute)); got != "nothing at 16:40:00" {
		t.Errorf("in the gap %q", got)
	}
	if len(a.earlier) != 50 || !a.earlier[0].At.Equal(q.from) {
		t.Errorf("the day before: %d points from %v", len(a.earlier), a.earlier[0].At)
	}
	if f := s.filters[0]; f.Words != "link" || !f.From.Equal(q.from) || !f.To.Equal(q.to) || len(a.entries) != 1 ||
		len(a.trips) != 1 {
		t.Errorf("asked for %+v, got %v", s.filters, a.entries)
	}
	s.trends, s.err = nil, errors.New("the disk is gone")
	if a = q.ask(t.Context(), s); !errors.Is(a.err, s.err) ||
		a.extentWords(0, time.Time{}) != "nothing recorded in this time" {
		t.Errorf("%v, %q", a.err, a.extentWords(0, time.Time{}))
	}
}

// TestTrendsAsTheyWereSeen compares with pictures that were looked at.
func TestTrendsAsTheyWereSeen(t *testing.T) {
	q := hour(t)
	all := q.ask(t.Context(), shelfOf(q))
	one := q
	one.readings, one.earlier = one.readings[:1], 0
	empty := q.ask(t.Context(), &shelf{from: q.from})
	for _, palette := range widget.Palettes() {
		app := test.NewTempApp(t)
		app.Settings().SetTheme(widget.NewTheme(palette))
		test.AssertImageMatches(t, "three-"+palette.Name+".png", draw(all, 420, 180, 1))
		test.AssertImageMatches(t, "one-"+palette.Name+".png", draw(one.ask(t.Context(), shelfOf(q)), 420, 180, 1))
	}
	test.AssertImageMatches(t, "nothing.png", draw(empty, 420, 180, 1))
	if _, _, ok := bounds(nil); ok {
		t.Error("nothing has bounds")
	}
}

// The table is read back by another reader of RFC 4180: Go's own.
func TestTable(t *testing.T) {
	q := hour(t)
	s := shelfOf(q)
	s.trends["wind_mps"] = s.trends["wind_mps"][:2]
	text, err := q.ask(t.Context(), s).table()
	if err != nil || !strings.Contains(string(text), "\r\n") {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
	if err != nil || len(rows) != 51 || len(rows[0]) != 10 {
		t.Fatalf("%v, %d rows", err, len(rows))
	}
	if rows[0][1] != "drive_supply_v_mean" || rows[1][0] != "2027-04-14T16:00:00Z" || rows[1][1] != "24" ||
		rows[1][7] != "5" || rows[3][7] != "" {
		t.Errorf("%v\n%v\n%v", rows[0], rows[1], rows[3])
	}
}

// pane is the pane in a window at an evening, with what it shows.
func pane(t *testing.T, s Source) (*Pane, view.Now) {
	t.Helper()
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	w := test.NewTempWindow(t, widget.NewLabel(""))
	open := widget.NewOpen(w.Canvas(), func() float32 { return 0 })
	d := stage.New(stage.Tracking())
	p := New(widget.Context{Open: open, Desk: d}, s)
	w.SetContent(container.NewStack(p.Object(), open.Object()))
	w.Resize(fyne.NewSize(436, 620))
	status := stage.Tracking()
	status.Moving = false
	now := view.At(&status, 10, 0)
	p.now = now
	return p, now
}

// The first view spans what there is, and grows with it until another time is chosen; reopened, it is looked up again.
func TestFirstViewSpansWhatThereIs(t *testing.T) {
	s := &shelf{trends: map[string][]journal.Point{}}
	p, now := pane(t, s)
	s.trends[p.readings[0].Key] = []journal.Point{{At: now.At.Add(-3 * time.Minute)}}
	settled := func(do func()) { // what it looks up is there afterwards
		synctest.Test(t, func(*testing.T) {
			do()
			synctest.Wait()
		})
	}
	show := func() { settled(func() { p.Show(now) }) }
	show()
	if p.span != 3*time.Minute || p.plot.answer.to.Sub(p.plot.answer.from) != 3*time.Minute {
		t.Errorf("three minutes of data are shown over %v, drawn over %v", p.span,
			p.plot.answer.to.Sub(p.plot.answer.from))
	}
	later := *now.Status
	later.At = later.At.Add(time.Minute)
	looks := len(s.filters)
	now = view.At(&later, now.Tick+601, 0) // no multiple of what it is looked up after
	show()
	if p.span != 4*time.Minute || len(s.filters) == looks {
		t.Errorf("reopened a minute later it spans %v after %d looks", p.span, len(s.filters)-looks)
	}
	settled(func() { p.zoom(2, now.At) })
	now.Tick += 1000
	show()
	if p.span != 8*time.Minute {
		t.Errorf("what was chosen becomes %v", p.span)
	}
}

func TestDragZoomAndKeys(t *testing.T) {
	p, now := pane(t, nil)
	near := func(what string, got, want time.Time) {
		t.Helper()
		if d := got.Sub(want); d > time.Second || d < -time.Second {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	key := func(names ...fyne.KeyName) {
		for _, n := range names {
			p.plot.TypedKey(&fyne.KeyEvent{Name: n})
		}
	}
	from, to := p.window()
	near("at first to now", to, now.At)
	key(fyne.KeyLeft)
	_, to = p.window()
	near("an eighth back", to, now.At.Add(-p.span/8))
	key(fyne.KeyRight, fyne.KeyRight)
	if !p.to.IsZero() {
		t.Errorf("beyond now: %v", p.to)
	}
	width := p.plot.Size().Width
	p.plot.Dragged(&fyne.DragEvent{Dragged: fyne.NewDelta(width/2, 0)})
	_, to = p.window()
	near("dragged by half", to, now.At.Add(-p.span/2))
	about := p.plot.at(width / 4)
	p.plot.Scrolled(&fyne.ScrollEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(width/4, 5)},
		Scrolled: fyne.NewDelta(0, 10)})
	near("what is under the pointer stays", p.plot.at(width/4), about)
	if want := 40 * time.Minute; p.span != want {
		t.Errorf("span %v, want %v", p.span, want)
	}
	for range 60 {
		p.plot.TypedRune('+')
	}
	if p.span != minSpan {
		t.Errorf("narrowest %v", p.span)
	}
	for range 60 {
		p.plot.TypedRune('-')
	}
	if p.span != maxSpan {
		t.Errorf("widest %v", p.span)
	}
	key(fyne.KeyHome)
	if _, to = p.window(); !to.Equal(now.At) {
		t.Errorf("home: %v", to)
	}
	_ = from
}

func TestReadingsComeAndGo(t *testing.T) {
	p, _ := pane(t, nil)
	p.openSeries(1, groups()[1], p.add)
	p.with.Open.Close()
	p.readings = append(p.readings, seriesOf(t, "wind_mps"), seriesOf(t, "battery_v"))
	p.arrange()
	if !p.legend[2].row.Visible() || !p.add.Disabled() {
		t.Error("three readings are not shown, or a fourth could be added")
	}
	p.openGroups(1, p.legend[1].choose)
	test.FocusNext(fyne.CurrentApp().Driver().AllWindows()[0].Canvas())
	p.with.Open.Close()
	p.readings = p.readings[:1]
	p.arrange()
	if p.legend[1].row.Visible() || p.add.Disabled() {
		t.Error("two that were taken away are still there")
	}
}

// A trip's line is higher than the others. As it moves down the list, no line lies over another or what is under them.
func TestLinesMakeRoomForATrip(t *testing.T) {
	q := hour(t)
	p, _ := pane(t, shelfOf(q))
	for trip := range maxLines {
		a := answer{question: q}
		for i := range maxLines {
			what := journal.WhatEvent
			if i == trip {
				what = journal.WhatTrip
			}
			a.entries = append(a.entries, journal.Entry{What: what, At: q.from, Words: "a line"})
		}
		p.take(a)
		driver, under := fyne.CurrentApp().Driver(), float32(0)
		for i := range p.list.lines {
			row := p.list.lines[i].row
			at, size := driver.AbsolutePositionForObject(row).Y, row.Size().Height
			if at < under || size < row.MinSize().Height {
				t.Errorf("trip in line %d: line %d from %v, %v high, over what ends at %v", trip, i, at, size, under)
			}
			under = at + size
		}
		if at := driver.AbsolutePositionForObject(p.told).Y; at < under {
			t.Errorf("trip in line %d: the lines end at %v, over the words from %v", trip, under, at)
		}
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
