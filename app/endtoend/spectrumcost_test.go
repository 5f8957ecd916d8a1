//go:build window && linux && bench

package endtoend

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat"

	"beamhelm/app/audio/soundserver"
)

// maxSpectrumCost is what the spectrum may cost beyond a window that is painted as often, in percent of a core.
const maxSpectrumCost = 2

// TestSpectrumCost measures what the spectrum costs with rows of 0.125 s of a receiver's audio: the processor time of
// the program with the pane and with another in its place, in turns. While the dish slews the window is painted at
// nearly every tick in both; with the dish at rest it is painted once a second, but for the rows. What the window costs
// for each frame, from both, makes up for the frames that differ.
func TestSpectrumCost(t *testing.T) {
	count := countFrames(t)
	server := soundserver.New(t)
	s, x := underTheMoon(t), newTransmitter(t, server, "")
	x.receive(nil)
	e, p := openBoth(t, t.TempDir(), s, nil, x.settings)
	p.showSpectrum()
	p.await(20*time.Second, "what is heard", shows("spectrum-device", "dBFS"))
	p.click("spectrum-plot")
	xdotool(t, "key", "--window", p.window, "Next", "Next", "Next", "Next", "Next")
	p.await(5*time.Second, "rows of 0.125 s", shows("spectrum-average", "Average 0.125 s"))

	slewing := p.compare(count, "slewing", 8, func() { p.slew(e) })
	p.click("stop")
	e.until(20*time.Second, "a dish at rest", func(l truthLine) bool { return !l.driven() })
	rest := p.compare(count, "at rest", 2, func() {})
	frame := (slewing.without.share - rest.without.share) / (slewing.without.frames - rest.without.frames)
	more := slewing.more - frame*(slewing.with.frames-slewing.without.frames)
	fmt.Printf("each frame a second %.2f %%; in a window painted as often, more by %.1f ±%.1f %% of one core\n",
		frame, more, slewing.within)
	if more-2*slewing.within > maxSpectrumCost {
		t.Errorf("the spectrum costs %.1f ±%.1f %% of a core, at most %d %%", more, slewing.within, maxSpectrumCost)
	}
}

// showSpectrum shows the pane.
func (p *panel) showSpectrum() {
	p.t.Helper()
	xdotool(p.t, "key", "--window", p.window, "F8")
	p.await(10*time.Second, "the spectrum", visible("spectrum-save"))
}

// cost is which part of one core the program used, percent, and how many frames a second it painted.
type cost struct{ share, frames float64 }

// compared are means with and without the spectrum; more is that of the differences, with its standard error.
type compared struct {
	without, with cost
	more, within  float64
}

// compare measures with the spectrum and with another pane in its place, in turns, each time after it has prepared.
func (p *panel) compare(count frames, when string, rounds int, prepare func()) (c compared) {
	p.t.Helper()
	var more []float64
	add := func(mean *cost, one cost) {
		mean.share += one.share / float64(rounds)
		mean.frames += one.frames / float64(rounds)
	}
	for range rounds {
		p.click("pane-survey")
		p.await(10*time.Second, "no spectrum", func(l layout) bool { return !visible("spectrum-save")(l) })
		prepare()
		without := p.cost(count, 8*time.Second)
		p.showSpectrum()
		prepare()
		with := p.cost(count, 8*time.Second)
		add(&c.without, without)
		add(&c.with, with)
		more = append(more, with.share-without.share)
	}
	var deviation float64
	c.more, deviation = stat.MeanStdDev(more, nil)
	c.within = deviation / math.Sqrt(float64(rounds))
	fmt.Printf("%s: without %.1f %% of one core, %.1f frames a second; with the spectrum %.1f %%, %.1f; "+
		"more by %.1f ±%.1f (means of %d: %.1f)\n",
		when, c.without.share, c.without.frames, c.with.share, c.with.frames, c.more, c.within, rounds, more)
	return c
}

// cost is what the program uses for so long.
func (p *panel) cost(count frames, lasts time.Duration) cost {
	p.t.Helper()
	before, from := p.processorTime(), time.Now()
	rate := count.over(lasts)
	return cost{100 * (p.processorTime() - before).Seconds() / time.Since(from).Seconds(), rate}
}

// processorTime is what the program has used so far, by proc(5): clock ticks of 10 ms.
func (p *panel) processorTime() time.Duration {
	p.t.Helper()
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", p.Process.Pid))
	if err != nil {
		p.t.Fatal(err)
	}
	_, after, _ := strings.Cut(string(text), ") ")
	fields := strings.Fields(after)
	var user, system int64
	if _, err := fmt.Sscan(fields[11]+" "+fields[12], &user, &system); err != nil {
		p.t.Fatal(err)
	}
	return time.Duration(user+system) * 10 * time.Millisecond
}
