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

// mostSpectrumCost is what the spectrum may cost beyond a window that is painted as often, in percent of a core.
const mostSpectrumCost = 2

// TestSpectrumCost measures what the spectrum costs with rows of 0.125 s of a receiver's audio: the processor time of
// the program with the pane and with another in its place, in turns. While the dish slews the window is painted at
// every tick in both; with the dish at rest it is painted once a second, but for the rows.
func TestSpectrumCost(t *testing.T) {
	server := soundserver.New(t)
	s, x := underTheMoon(t), newTransmitter(t, server, "")
	x.receive(nil)
	e, p := openBoth(t, t.TempDir(), s, nil, x.settings)
	p.showSpectrum()
	p.await(20*time.Second, "what is heard", shows("spectrum-device", "dBFS"))
	p.click("spectrum-plot")
	xdotool(t, "key", "--window", p.window, "Next", "Next", "Next", "Next", "Next")
	p.await(5*time.Second, "rows of 0.125 s", shows("spectrum-average", "Average 0.125 s"))

	mean, within := p.compare("painted at every tick", 8, func() { p.slew(e) })
	if mean-2*within > mostSpectrumCost {
		t.Errorf("the spectrum costs %.1f ±%.1f %% of a core, at most %d %%", mean, within, mostSpectrumCost)
	}
	p.click("stop")
	e.until(20*time.Second, "a dish at rest", func(l truthLine) bool { return !l.driven() })
	p.compare("at rest", 2, func() {})
}

// showSpectrum shows the pane.
func (p *panel) showSpectrum() {
	p.t.Helper()
	xdotool(p.t, "key", "--window", p.window, "F8")
	p.await(10*time.Second, "the spectrum", visible("spectrum-save"))
}

// compare measures with the spectrum and with another pane in its place, in turns, each time after it has prepared. It
// returns the mean of the differences with its standard error, percent of a core.
func (p *panel) compare(when string, rounds int, prepare func()) (mean, within float64) {
	p.t.Helper()
	var without, with, more []float64
	for round := range rounds {
		p.click("pane-survey")
		p.await(10*time.Second, "no spectrum", func(l layout) bool { return !visible("spectrum-save")(l) })
		prepare()
		without = append(without, p.share(8*time.Second))
		p.showSpectrum()
		prepare()
		with = append(with, p.share(8*time.Second))
		more = append(more, with[round]-without[round])
	}
	mean, deviation := stat.MeanStdDev(more, nil)
	within = deviation / math.Sqrt(float64(rounds))
	fmt.Printf("%s: without %.1f, with the spectrum %.1f, more by %.1f ±%.1f %% of one core (means of %d: %.1f)\n",
		when, stat.Mean(without, nil), stat.Mean(with, nil), mean, within, rounds, more)
	return mean, within
}

// share is which part of one core the program uses for so long, percent.
func (p *panel) share(lasts time.Duration) float64 {
	p.t.Helper()
	before, from := p.processorTime(), time.Now()
	time.Sleep(lasts) // the time that is measured
	return 100 * (p.processorTime() - before).Seconds() / time.Since(from).Seconds()
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
