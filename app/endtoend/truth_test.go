//go:build window || planted

package endtoend

import (
	"bufio"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// truthLine is one moment of the simulated enclosure.
type truthLine struct {
	arrived time.Time  // when this test read it, within a few milliseconds of its making
	t       float64    // seconds
	az, el  float64    // degrees, where the beam really looks
	axes    [2]float64 // degrees, where the axes really stand
	demand  [2]float64 // -1 to 1
	applied [2]float64
	power   bool
}

// driven says whether any axis is asked to move.
func (l truthLine) driven() bool { return l.demand != [2]float64{} }

// enclosure is a simulated enclosure in a process of its own.
type enclosure struct {
	*process
	t    *testing.T
	link string
	dish io.Writer // what hands at the dish do, a line each
	mu   sync.Mutex
	all  []truthLine
	bad  error
}

// openEnclosure starts the simulated enclosure and follows its truth.
func openEnclosure(t *testing.T, home string, arguments ...string) *enclosure {
	t.Helper()
	folder := t.TempDir()
	e := &enclosure{t: t, link: filepath.Join(folder, "dish")}
	truth := filepath.Join(folder, "truth.csv")
	e.process = startWith(t, home, func(c *exec.Cmd) {
		var err error
		if e.dish, err = c.StdinPipe(); err != nil {
			t.Fatal(err)
		}
	}, append([]string{"replica", "-hands", "-link", e.link, "-truth", truth}, arguments...)...)
	deadline := time.Now().Add(10 * time.Second)
	for {
		_, linkErr := os.Stat(e.link)
		_, truthErr := os.Stat(truth)
		if linkErr == nil && truthErr == nil {
			break
		}
		if time.Now().After(deadline) {
			t.Fatalf("the simulated enclosure did not come up: %v, %v", linkErr, truthErr)
		}
		time.Sleep(5 * time.Millisecond)
	}
	file, err := os.Open(truth)
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan struct{})
	go func() {
		defer close(done)
		e.follow(file)
	}()
	t.Cleanup(func() {
		e.end()
		<-done
		file.Close()
	})
	e.until(10*time.Second, "a first line", func(truthLine) bool { return true })
	return e
}

// follow reads the truth as it is written, until the enclosure has ended.
func (e *enclosure) follow(file io.Reader) {
	reader := bufio.NewReader(file)
	var columns map[string]int
	partial := ""
	for {
		text, err := reader.ReadString('\n')
		partial += text
		if errors.Is(err, io.EOF) {
			select {
			case <-e.ended:
				return
			default:
				time.Sleep(2 * time.Millisecond)
				continue
			}
		}
		if err != nil {
			e.fail(err)
			return
		}
		fields := strings.Split(strings.TrimSpace(partial), ",")
		partial = ""
		if columns == nil {
			columns = map[string]int{}
			for i, name := range fields {
				columns[name] = i
			}
			continue
		}
		line, err := readTruth(columns, fields)
		if err != nil {
			e.fail(err)
			return
		}
		e.mu.Lock()
		e.all = append(e.all, line)
		e.mu.Unlock()
	}
}

func (e *enclosure) fail(err error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.bad = err
}

// readTruth reads one line by the names of its columns.
func readTruth(columns map[string]int, fields []string) (truthLine, error) {
	line := truthLine{arrived: time.Now()}
	var power float64
	for name, into := range map[string]*float64{
		"t_s": &line.t, "az_deg": &line.az, "el_deg": &line.el, "power": &power,
		"az_axis_deg": &line.axes[0], "el_axis_deg": &line.axes[1],
		"demand_az": &line.demand[0], "demand_el": &line.demand[1],
		"applied_az": &line.applied[0], "applied_el": &line.applied[1],
	} {
		i, known := columns[name]
		if !known || i >= len(fields) {
			return line, errors.New("the truth has no column " + name + " in " + strings.Join(fields, ","))
		}
		value, err := strconv.ParseFloat(fields[i], 64)
		if err != nil {
			return line, err
		}
		*into = value
	}
	line.power = power != 0
	return line, nil
}

// now returns the newest line.
func (e *enclosure) now() truthLine {
	e.t.Helper()
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.bad != nil {
		e.t.Fatalf("reading the truth: %v", e.bad)
	}
	if len(e.all) == 0 {
		return truthLine{}
	}
	return e.all[len(e.all)-1]
}

// since returns the lines that arrived after a moment.
func (e *enclosure) since(moment time.Time) []truthLine {
	e.mu.Lock()
	defer e.mu.Unlock()
	for i, line := range e.all {
		if line.arrived.After(moment) {
			return append([]truthLine(nil), e.all[i:]...)
		}
	}
	return nil
}

// longestSilence is the longest time between two lines around a stretch of time.
func (e *enclosure) longestSilence(from, to time.Time) time.Duration {
	var longest time.Duration
	var last time.Time
	for _, line := range e.since(from.Add(-100 * time.Millisecond)) {
		if !last.IsZero() {
			longest = max(longest, line.arrived.Sub(last))
		}
		if last = line.arrived; last.After(to) {
			break
		}
	}
	return longest.Round(time.Millisecond)
}

// until waits for a line as wanted and returns it.
func (e *enclosure) until(within time.Duration, what string, wanted func(truthLine) bool) truthLine {
	e.t.Helper()
	begun := time.Now()
	for {
		line := e.now()
		if !line.arrived.IsZero() && wanted(line) {
			return line
		}
		if time.Since(begun) > within {
			e.t.Fatalf("no %s within %v; the enclosure is at %+v", what, within, line)
		}
		time.Sleep(2 * time.Millisecond)
	}
}

// unpowered says that nothing can move any axis: neither drive nor power.
func unpowered(l truthLine) bool { return l.applied == [2]float64{} && !l.power }

// shutDown says that beside that nothing is demanded.
func shutDown(l truthLine) bool { return unpowered(l) && !l.driven() }

// lasting is how long after a moment something became so for good.
func (e *enclosure) lasting(since time.Time, within time.Duration, what string, so func(truthLine) bool) time.Duration {
	e.t.Helper()
	e.until(time.Until(since.Add(within)), what, func(l truthLine) bool { return l.arrived.After(since) && so(l) })
	lines := e.since(since)
	first := len(lines) - 1
	for first > 0 && so(lines[first-1]) {
		first--
	}
	return lines[first].arrived.Sub(since)
}
