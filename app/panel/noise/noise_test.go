package noise

import (
	"math"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/desk"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// sample is one a tenth of a second, n of them after the beginning.
func sample(n int, level float64) desk.NoiseSample {
	begin := stage.Evening().Add(-view.NoiseTime)
	return desk.NoiseSample{At: begin.Add(time.Duration(n) * 100 * time.Millisecond), LevelDB: level, Clean: true}
}

func TestHistoryColumns(t *testing.T) {
	var h history
	if columns, _ := h.columns(100, nil); len(columns) != 0 {
		t.Errorf("without a sample there are %d columns", len(columns))
	}
	for n := range 6000 {
		s := sample(n, 2)
		switch {
		case n == 1000:
			s.LevelDB = 5 // one sample that stands out is seen at any width
		case n >= 2000 && n < 2600:
			s.Clean, s.Keyed = false, true
		case n >= 2600 && n < 2620:
			s.Clean = false
		case n == 4000:
			s.Mark = 2
		}
		h.add(s)
	}
	for _, width := range []int{300, 700, 1081, 2400, 4000} {
		columns, _ := h.columns(width, nil)
		minimum, maximum := bounds(columns, 0)
		if len(columns) != width || minimum != 2 || maximum != 5 {
			t.Errorf("%d wide: %d columns, from %v to %v dB", width, len(columns), minimum, maximum)
		}
		keyed, gap, marks := 0, 0, 0
		for _, c := range columns {
			keyed += count(c.keyed)
			gap += count(c.minimum != c.minimum)
			marks += count(c.mark == 2)
		}
		column := float64(width) / 600
		if math.Abs(float64(keyed)-60*column) > 2 || math.Abs(float64(gap)-62*column) > 2+column*2 {
			t.Errorf("%d wide: keyed for %d columns, no level for %d", width, keyed, gap)
		}
		if marks < 1 || marks > 3 {
			t.Errorf("%d wide: the mark is seen %d times", width, marks)
		}
	}
}

// With practice time 60 times as fast a reading comes every six seconds of the sky: they make one trace, as in real
// time; what was not clean, and readings that did not come, stay gaps.
func TestFastTimeMakesOneTrace(t *testing.T) {
	for _, scale := range []time.Duration{1, 10, 60} {
		var h history
		tick := scale * 100 * time.Millisecond
		begin := stage.Evening().Add(-view.NoiseTime)
		for n := range int(view.NoiseTime / tick) {
			s := desk.NoiseSample{At: begin.Add(time.Duration(n) * tick), LevelDB: float64(n % 3), Clean: true,
				Since: tick}
			switch at := s.At.Sub(begin); {
			case at > 2*time.Minute && at <= 3*time.Minute:
				s.Clean, s.Keyed = false, true
			case at > 5*time.Minute && at <= 6*time.Minute:
				continue // no reading came
			case at > 6*time.Minute && at <= 6*time.Minute+tick:
				s.Since = 0
			}
			h.add(s)
		}
		const width = 600 // a column a second
		columns, _ := h.columns(width, nil)
		gap, keyed, runs := 0, 0, 0
		for i, c := range columns {
			gap, keyed = gap+count(c.minimum != c.minimum), keyed+count(c.keyed)
			runs += count(i > 0 && (c.minimum != c.minimum) != (columns[i-1].minimum != columns[i-1].minimum))
		}
		each := int(tick / time.Second)
		if gap < 120-2*each-2 || gap > 120+2*each+2 || keyed < 60-each-1 || keyed > 60+each+1 || runs > 6 {
			t.Errorf("time × %d: no level in %d columns, keyed in %d, %d changes between trace and gap", scale, gap,
				keyed, runs)
		}
	}
}

func TestBounds(t *testing.T) {
	levels := func(values ...float32) (columns []column) {
		for _, v := range values {
			columns = append(columns, column{cell: cell{minimum: v, maximum: v + 1}})
		}
		return columns
	}
	rows := []struct {
		name             string
		columns          []column
		odd              int
		minimum, maximum float64
	}{
		{"all", levels(3, 1, 2, 90, 2), 0, 1, 91},
		{"but for the oddest", levels(3, 1, 2, 90, 2), 1, 2, 4},
		{"of few columns some are left", levels(3, 1), 2, 1, 4},
		{"one", levels(3), 2, 3, 4},
		{"none", []column{{cell: empty()}}, 2, math.NaN(), math.NaN()},
	}
	for _, row := range rows {
		minimum, maximum := bounds(row.columns, row.odd)
		none := math.IsNaN(row.minimum) && math.IsNaN(minimum) && math.IsNaN(maximum)
		if !none && !(minimum == row.minimum && maximum == row.maximum) {
			t.Errorf("%s: %v to %v, want %v to %v", row.name, minimum, maximum, row.minimum, row.maximum)
		}
	}
}

func count(is bool) int {
	if is {
		return 1
	}
	return 0
}

// A trace moves on by whole columns and doesn't change on its way.
func TestTraceMovesWhole(t *testing.T) {
	var h history
	for n := range 6000 {
		h.add(sample(n, math.Sin(float64(n)/7)))
	}
	const width = 701
	before, newest := h.columns(width, nil)
	for n := 6000; n < 6100; n++ {
		h.add(sample(n, 0))
	}
	after, later := h.columns(width, nil)
	moved := int(later - newest)
	if moved < 10 || moved > 13 {
		t.Fatalf("in ten seconds it moved on by %d columns of %d", moved, width)
	}
	for i := 1; i < width-moved-1; i++ {
		if a, b := before[i+moved], after[i]; a != b && !(a.minimum != a.minimum && b.minimum != b.minimum) {
			t.Errorf("column %d: %+v, before %+v", i, b, a)
		}
	}
}

func TestClockSetBack(t *testing.T) {
	var h history
	h.add(sample(5000, 9))
	h.add(sample(4990, 1)) // one second back
	columns, _ := h.columns(600, nil)
	if _, maximum := bounds(columns, 0); maximum != 1 {
		t.Errorf("after the clock was set back the old level %v is still shown", maximum)
	}
	h.add(sample(40000, 3)) // an hour on
	columns, _ = h.columns(600, nil)
	if minimum, maximum := bounds(columns, 0); minimum != 3 || maximum != 3 {
		t.Errorf("after an hour of silence %v to %v are shown", minimum, maximum)
	}
}

func open(t testing.TB, size fyne.Size) (*Pane, *stage.Desk) {
	t.Helper()
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	d := stage.New(stage.Tracking())
	for n := range 6000 {
		s := sample(n, 2+0.2*math.Sin(float64(n)/40)+0.05*math.Sin(float64(n)*1.7))
		s.Keyed = s.At.Minute()%2 == 1
		s.Clean = !s.Keyed && s.At.Second() > 0
		switch n {
		case 2500:
			s.Mark = 1
		case 3950:
			s.Mark = 3
		}
		d.Hear(s)
	}
	w := test.NewTempWindow(t, nil)
	w.SetPadded(false)
	open := widget.NewOpen(w.Canvas(), func() float32 { return 0 })
	p := New(widget.Context{Desk: d, Open: open, Hand: widget.NewHand(d)})
	w.SetContent(p.Object())
	w.Resize(size)
	p.Show(view.At(d.Status(), 10, 0))
	return p, d
}

func TestPane(t *testing.T) {
	p, d := open(t, fyne.NewSize(887, 54))
	if p.read != 6000 || len(p.columns) != p.pixels() {
		t.Errorf("read up to %d, %d columns for %d pixels", p.read, len(p.columns), p.pixels())
	}
	shown := map[string]int{}
	for _, c := range p.words {
		if c.Visible() {
			shown[c.ControlWords()]++
		}
	}
	if shown["transmit"] != 5 || shown["trim"] != 1 || shown["noise source"] != 1 {
		t.Errorf("words %v", shown)
	}
	times := 0
	for words := range shown {
		if _, err := time.Parse("15:04", words); err == nil {
			times++
		}
	}
	if times == 0 || times > maxMoments {
		t.Errorf("%d round moments: %v", times, shown)
	}
	if p.level.ControlWords() != "2.2 dB" || p.what.ControlWords() != "above cold sky, 2 h old" || p.what.Cut() {
		t.Errorf("says %q %q", p.level.ControlWords(), p.what.ControlWords())
	}
	p.cold.Tapped(nil)
	if got := d.Asked(); len(got) != 1 || got[0] != (desk.TakeColdSky{}) {
		t.Errorf("cold sky asks for %+v", got)
	}
	p.SetSpan(10)
	if p.scale.High-p.scale.Low != 10 || p.spanKey.ControlWords() != "Span 10 dB" {
		t.Errorf("span %v, %q", p.scale.High-p.scale.Low, p.spanKey.ControlWords())
	}
	status := *d.Status()
	status.Noise.Clean = false
	d.Set(status)
	p.Show(view.At(d.Status(), 12, 0))
	if !p.cold.Disabled() {
		t.Error("cold sky can be taken while the level is not clean")
	}
}

// Samples are taken in once, and the strip is drawn when a column was added, not at every tick.
func TestDrawnWhenItMovesOn(t *testing.T) {
	p, d := open(t, fyne.NewSize(887, 54))
	drawn, newest := 0, p.newest
	for tick := uint64(11); tick <= 110; tick++ {
		d.Hear(sample(5990+int(tick)-1, 2))
		p.Show(view.At(d.Status(), tick, 0))
		if p.newest != newest {
			drawn, newest = drawn+1, p.newest
		}
	}
	if drawn < 9 || drawn > 12 { // ten seconds at 1.1 columns a second
		t.Errorf("drawn %d times in ten seconds", drawn)
	}
	if p.read != 6100 {
		t.Errorf("read up to %d, want 6100", p.read)
	}
}

func TestFiguresKeepApart(t *testing.T) {
	for _, height := range []float32{48, 54, 76, 99} {
		p, _ := open(t, fyne.NewSize(887, height))
		shown := 0
		var last float32 = 1e6
		for _, figure := range p.figures {
			if !figure.Visible() {
				continue
			}
			shown++
			at, size := figure.Position(), figure.Size()
			if at.Y < 0 || at.Y+size.Height > height || at.Y+size.Height > last+4 {
				t.Errorf("%v high: %q at %v", height, figure.ControlWords(), at)
			}
			last = at.Y
		}
		if shown < 2 {
			t.Errorf("%v high: %d figures", height, shown)
		}
	}
}

func TestPicture(t *testing.T) {
	p, _ := open(t, fyne.NewSize(600, 60))
	for _, palette := range widget.Palettes() {
		fyne.CurrentApp().Settings().SetTheme(widget.NewTheme(palette))
		test.AssertImageMatches(t, "strip-"+palette.Name+".png", p.draw(p.pixels(), 60))
	}
}

func BenchmarkTick(b *testing.B) {
	p, d := open(b, fyne.NewSize(955, 76))
	tick := uint64(10)
	for b.Loop() {
		tick++
		p.Show(view.At(d.Status(), tick, 0))
	}
}

func BenchmarkPicture(b *testing.B) {
	p, _ := open(b, fyne.NewSize(955, 76))
	for b.Loop() {
		p.draw(p.pixels(), 76)
	}
}

// A clock before 1970 or after 2262 is a time like any other.
func TestHistoryAtAnyTime(t *testing.T) {
	for _, year := range []int{1, 1677, 1969, 1970, 2262, 2263, 9999} {
		var h history
		at := time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC)
		for i := range 400 {
			h.add(desk.NoiseSample{At: at.Add(time.Duration(i) * cellTime), LevelDB: float64(i), Clean: true})
		}
		columns, _ := h.columns(300, nil)
		if last := columns[len(columns)-1]; !last.has || last.maximum != 399 {
			t.Errorf("%d: the newest column %+v", year, last)
		}
	}
}

// Under the pointer the strip tells what was heard when, and without it what is heard now.
func TestReadOut(t *testing.T) {
	p, d := open(t, fyne.NewSize(887, 54))
	now := p.level.ControlWords() + ", " + p.what.ControlWords()
	i := len(p.columns) - 1
	for p.columns[i].keyed || p.columns[i].minimum != p.columns[i].minimum {
		i--
	}
	width := p.raster.Size().Width
	at := (float32(i) + 0.5) / float32(len(p.columns)) * width
	p.strand.MouseIn(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(at, 5)}})
	c := p.columns[i]
	want := view.Number((float64(c.minimum)+float64(c.maximum))/2-p.scale.Zero, 1) + " dB"
	read, err := time.Parse("15:04:05 UTC", p.what.ControlWords())
	age := time.Duration(float32(view.NoiseTime) * (width - at) / width)
	heard := d.Status().At.Add(-age)
	since := time.Date(0, 1, 1, heard.Hour(), heard.Minute(), heard.Second(), 0, time.UTC)
	if p.level.ControlWords() != want || err != nil || read.Sub(since).Abs() > 3*time.Second {
		t.Errorf("%q %q, want %q at %v", p.level.ControlWords(), p.what.ControlWords(), want, since)
	}
	p.strand.MouseOut()
	if got := p.level.ControlWords() + ", " + p.what.ControlWords(); got != now {
		t.Errorf("%q, want %q", got, now)
	}
}
