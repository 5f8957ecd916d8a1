package wear

import (
	"fmt"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"
)

var begin = time.Date(2027, 1, 5, 20, 0, 0, 0, time.UTC)

// blocks takes block means in, a minute each, and writes after each whether it stands.
func blocks(p Past, k *Kind, means ...float64) (Past, string) {
	said := ""
	for i, m := range means {
		from := begin.Add(time.Duration(i) * time.Minute)
		p = p.Take(k, Block{m, from, from.Add(time.Minute)})
		said += map[bool]string{true: "!", false: "."}[p.Stands(k)]
	}
	return p, said
}

func TestWhatIsUnusualOverTime(t *testing.T) {
	current, speed := &kinds[MotorCurrent], &kinds[SpeedPerDrive]
	for _, c := range []struct {
		name  string
		kind  *Kind
		means []float64
		want  string
	}{
		{"steady", current, []float64{2, 2.1, 1.9, 2, 2, 2.1, 2, 2, 2.1}, "........."},
		{"nothing is said before six blocks are known", current, []float64{2, 2, 9, 9, 9}, "....."},
		{"half as much again, three blocks in a row", current, []float64{2, 2, 2, 2, 2, 2, 3, 3, 3, 3}, "........!!"},
		{"a gust of one block", current, []float64{2, 2, 2, 2, 2, 2, 4, 2, 4, 2, 4, 4, 2}, "............."},
		{"less current is no trouble", current, []float64{2, 2, 2, 2, 2, 2, 1, 1, 1, 1}, ".........."},
		{"it is over when it is over", current, []float64{2, 2, 2, 2, 2, 2, 3, 3, 3, 2}, "........!."},
		{"what scatters must be out by more", current, []float64{1, 3, 1, 3, 1, 3, 1, 3, 4, 4, 4, 4}, "............"},
		{"slower is trouble, faster is not", speed, []float64{1, 1, 1, 1, 1, 1, 1.3, 1.3, 1.3, .7, .7, .7},
			"...........!"},
	} {
		if _, got := blocks(Past{}, c.kind, c.means...); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

// A bearing that stiffens by a hundredth a night is found though no night differs from the one before.
func TestWhatCreepsIsFound(t *testing.T) {
	k := &kinds[MotorCurrent]
	p, value, at := Past{}, 2.0, begin
	for night := range 200 {
		for range 20 {
			p = p.Take(k, Block{value + 0.03*float64(night%3-1), at, at.Add(time.Minute)})
			at = at.Add(time.Minute)
		}
		if night > 30 {
			value *= 1.01
		}
		if p.Stands(k) {
			if night < 40 || night > 100 {
				t.Errorf("found in night %d", night)
			}
			if p.Since.Before(begin) || p.Since.After(at) {
				t.Errorf("since %v", p.Since)
			}
			return
		}
		at = at.Add(23 * time.Hour)
	}
	t.Errorf("never found: %+v now %.2f", p, value)
}

// TestMeanAndScatter: mean and variance are those of all blocks, as long as they are few. The variance from
// successive differences: von Neumann, Annals of Mathematical Statistics 12 (1941), 367.
func TestMeanAndScatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		means := rapid.SliceOfN(rapid.Float64Range(9.9, 10.1), 2, learned).Draw(t, "means")
		p, _ := blocks(Past{}, &kinds[MotorCurrent], means...)
		sum, square := 0.0, 0.0
		for _, m := range means {
			sum += m
		}
		mean := sum / float64(len(means))
		for i, m := range means[1:] {
			square += (m - means[i]) * (m - means[i]) / 2
		}
		if want := math.Sqrt(square / float64(len(means)-1)); math.Abs(p.Mean-mean) > 1e-9 ||
			math.Abs(p.Scatter()-want) > 1e-9 {
			t.Fatalf("mean %v and %v, want %v and %v", p.Mean, p.Scatter(), mean, want)
		}
	})
}

func feed(w *Watch, c Circumstances, value float64, blocks int, at *time.Time) {
	for range blocks * kinds[c.Kind].Samples {
		w.Sample(c, value, *at)
		*at = at.Add(time.Second)
	}
}

func TestTroublesSayWhatAgainstWhatSinceWhen(t *testing.T) {
	at := begin
	var w Watch
	up := Circumstances{MotorCurrent, "Elevation", "fast up, 0 to 10 °C"}
	down := Circumstances{MotorCurrent, "Elevation", "fast down, 0 to 10 °C"}
	feed(&w, up, 2.1, 8, &at)
	feed(&w, down, 1.5, 8, &at)
	if len(w.Troubles()) != 0 {
		t.Fatalf("%v", w.Troubles())
	}
	since := at
	feed(&w, up, 3.4, 3, &at)
	feed(&w, down, 3.5, 3, &at)
	all := w.Troubles()
	if len(all) != 1 ||
		all[0].Words().String() != "Elevation motor current 3.5 A at 20:05 on 5 Jan, fast down, 0 to 10 °C; "+
			"baseline 1.5 A (and 1 more)" ||
		!all[0].Since.Equal(since) {
		t.Fatalf("%d: %s since %v, want %v", len(all), all[0].Words(), all[0].Since, since)
	}
	again := FromEntries(w.Entries())
	if got := again.Troubles(); len(got) != 1 || got[0].Words().String() != all[0].Words().String() {
		t.Errorf("after a restart: %v", got)
	}
	w.Forget(MotorCurrent, "Elevation")
	if len(w.Troubles()) != 0 || w.Past(up).N != 0 {
		t.Errorf("forgotten: %v", w.Troubles())
	}
}

func TestBlocksAreOfOneTimeAndFinite(t *testing.T) {
	var w Watch
	c := Circumstances{Kind: CoolantFlow}
	for i := range kinds[CoolantFlow].Samples - 1 {
		w.Sample(c, 6, begin.Add(time.Duration(i)*time.Second))
	}
	w.Sample(c, math.NaN(), begin.Add(time.Minute))
	w.Sample(c, math.Inf(1), begin.Add(time.Minute))
	w.Sample(c, 6, begin.Add(time.Hour)) // begins another block
	if p := w.Past(c); p.N != 0 {
		t.Errorf("%+v", p)
	}
	for i := range 3 * maxEntries {
		w.Sample(Circumstances{ColdSky, "band", fmt.Sprint(i)}, 1, begin.Add(time.Duration(i)*time.Second))
	}
	if n := len(w.Entries()); n != maxEntries {
		t.Errorf("%d entries", n)
	}
	damaged := FromEntries([]Entry{{Circumstances{Kind: 99}, Past{}}, {Circumstances{Kind: -1}, Past{}},
		{Circumstances{Kind: ColdSky}, Past{N: 3, Square: -1}}, {c, Past{N: 1, Mean: 6}}})
	if n := len(damaged.Entries()); n != 1 {
		t.Errorf("%d entries are taken up", n)
	}
}

func TestClasses(t *testing.T) {
	for _, c := range []struct {
		value, width float64
		want         string
	}{{3, 10, "0 to 10 °C"}, {-0.1, 10, "-10 to 0 °C"}, {10, 10, "10 to 20 °C"}, {math.NaN(), 10, ""}} {
		if got := ClassWords(Class(c.value, c.width), c.width, "°C"); got != c.want {
			t.Errorf("%v: %q, want %q", c.value, got, c.want)
		}
	}
	for _, k := range kinds {
		if k.Name == "" || k.Words == "" || k.Next == "" || k.Samples < 1 || k.Told < 1 ||
			k.Told > told || k.Floor+k.Share <= 0 {
			t.Errorf("%+v is not complete", k)
		}
	}
}
