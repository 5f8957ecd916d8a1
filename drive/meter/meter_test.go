package meter

import (
	"bufio"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"net"
	"os"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"
	"gonum.org/v1/gonum/dsp/fourier"

	"beamhelm/drive/link"
	"beamhelm/drive/replica/serve"
)

func TestMain(m *testing.M) {
	if rate := os.Getenv("BEAMHELM_TEST_RECORDER"); rate != "" {
		record(rate)
		return
	}
	goleak.VerifyTestMain(m)
}

// run lets a meter run until the test ends.
func run(t *testing.T, c Config) *Meter {
	t.Helper()
	m, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan struct{})
	go func() { defer close(ended); m.Run(ctx) }()
	t.Cleanup(func() {
		cancel()
		select {
		case <-ended:
		case <-time.After(5 * time.Second):
			t.Error("the meter does not end")
		}
	})
	return m
}

// gather waits for that many samples.
func gather(t *testing.T, m *Meter, want int) (all []Sample) {
	t.Helper()
	for end := time.Now().Add(20 * time.Second); len(all) < want; time.Sleep(10 * time.Millisecond) {
		all = append(all, m.Take()...)
		if time.Now().After(end) {
			t.Fatalf("only %d of %d samples: %s", len(all), want, m.Trouble())
		}
	}
	return all
}

// A serial meter sends what meters send; what is not a number is marked, and the rest is read on.
func TestLines(t *testing.T) {
	terminal, err := serve.OpenTerminal()
	if err != nil {
		t.Fatal(err)
	}
	defer terminal.Close()
	m := run(t, Config{Kind: Lines, Name: terminal.Path,
		Open: Serial(link.Settings{Path: terminal.Path, Baud: 9600, Parity: link.NoParity, StopBits: 1})})
	for {
		// A terminal that nobody reads keeps what is written: wait for a reader.
		io.WriteString(terminal, "0\r\n")
		time.Sleep(20 * time.Millisecond)
		if len(m.Take()) > 0 {
			break
		}
	}
	time.Sleep(50 * time.Millisecond)
	m.Take()
	io.WriteString(terminal, "-12.34\r\n\r\nhello\r\n1.5e1 dBm\r\n-7.25dB, 3\r\n9e99\r\n"+strings.Repeat("x",
		1000)+"\r\n42\r\nNaN\r\n")
	got := gather(t, m, 8)
	want := []struct {
		level float64
		flaw  Flaw
	}{{-12.34, Sound}, {0, Nonsense}, {15, Sound}, {-7.25, Sound}, {0, Overloaded}, {0, Nonsense}, {42, Sound},
		{0, Nonsense}}
	for i, w := range want {
		if got[i].Flaw != w.flaw || w.flaw == Sound && got[i].LevelDB != w.level {
			t.Errorf("line %d: %+v, want %v", i, got[i], w)
		}
	}
}

// instrument answers SCPI queries at a loopback port.
type instrument struct {
	*net.TCPListener
	answers chan string
	asked   chan string
}

func newInstrument(t *testing.T) *instrument {
	t.Helper()
	l, err := net.ListenTCP("tcp", &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1)})
	if err != nil {
		t.Fatal(err)
	}
	i := &instrument{l, make(chan string, 100), make(chan string, 1000)}
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		for {
			conn, err := l.Accept()
			if err != nil {
				return
			}
			i.serve(conn)
		}
	}()
	t.Cleanup(func() { l.Close(); close(i.answers); <-ended })
	return i
}

func (i *instrument) serve(conn net.Conn) {
	defer conn.Close()
	in := bufio.NewScanner(conn)
	for in.Scan() {
		i.asked <- in.Text()
		if in.Text() == "*IDN?" {
			fmt.Fprint(conn, "COLD HARBOUR,LEVEL METER,0,1\n")
			continue
		}
		answer, more := <-i.answers
		if !more || answer == "hang up" {
			return
		}
		if answer != "silence" {
			fmt.Fprintf(conn, "%s\n", answer)
		}
	}
}

func TestInstrument(t *testing.T) {
	peer := newInstrument(t)
	m := run(t, Config{Kind: SCPI, Name: "meter", Open: Network(peer.Addr().String()), Linear: true, Query: "MEAS:POW?",
		Every: 20 * time.Millisecond})
	for _, a := range []string{"1.0E-3", "+2.0E-3", "9.91E37", "9.9E37", "-1", "nonsense"} {
		peer.answers <- a
	}
	got := gather(t, m, 6)
	for i, want := range []Flaw{Sound, Sound, Nonsense, Overloaded, Nonsense, Nonsense} {
		if got[i].Flaw != want {
			t.Errorf("answer %d: %+v, want flaw %v", i, got[i], want)
		}
	}
	if got[0].LevelDB != -30 || math.Abs(got[1].LevelDB+26.99) > 0.001 {
		t.Errorf("levels %v, %v dB", got[0].LevelDB, got[1].LevelDB)
	}
	if m.Identity() != "COLD HARBOUR,LEVEL METER,0,1" {
		t.Errorf("identity %q", m.Identity())
	}
	// It hangs up, and then stays silent: each time it is found again, and no late answer is taken for another.
	for _, failing := range []string{"hang up", "silence"} {
		peer.answers <- failing
		for end := time.Now().Add(10 * time.Second); m.Trouble() == ""; time.Sleep(10 * time.Millisecond) {
			if time.Now().After(end) {
				t.Fatalf("%s: no trouble is told", failing)
			}
		}
		m.Take()
		peer.answers <- "0.1"
		if got := gather(t, m, 1); math.Abs(got[0].LevelDB+10) > 1e-9 || m.Trouble() != "" {
			t.Errorf("after %s: %+v, trouble %q", failing, got[0], m.Trouble())
		}
	}
}

// record is a program that records: noise of a tenth of full scale, then
// nothing at all, then noise that clips; half a second each.
func record(rate string) {
	var n int
	fmt.Sscan(rate, &n)
	chance := rand.New(rand.NewPCG(1, 1))
	out := bufio.NewWriter(os.Stdout)
	for _, size := range []float64{0.1, 0, 3} {
		for range n / 2 {
			v := max(-32768, min(32767, size*32768*chance.NormFloat64()))
			binary.Write(out, binary.LittleEndian, int16(v))
		}
	}
	out.Flush()
	time.Sleep(time.Minute)
}

func TestAudio(t *testing.T) {
	t.Setenv("BEAMHELM_TEST_RECORDER", "8000")
	m := run(t, Config{Kind: Audio, Name: "recorder", Open: Recorder(os.Args[0]), Rate: 8000, LowHz: 1000,
		HighHz: 2000})
	got := gather(t, m, 15)
	// White noise of rms 0.1: a quarter of its power lies between 1000 and 2000 of 4000 Hz.
	want, mean := 10*math.Log10(0.01/4), 0.0
	for _, s := range got[:5] {
		mean += math.Pow(10, s.LevelDB/10) / 5
	}
	if level := 10 * math.Log10(mean); math.Abs(level-want) > 0.5 || got[0].Flaw != Sound {
		t.Errorf("level %.2f dB, want %.2f; flaw %v", level, want, got[0].Flaw)
	}
	for i, want := range map[int]Flaw{6: Nonsense, 8: Nonsense, 11: Overloaded, 13: Overloaded} {
		if got[i].Flaw != want {
			t.Errorf("block %d: flaw %v, want %v", i, got[i].Flaw, want)
		}
	}
}

func TestNoRecorder(t *testing.T) {
	for command, want := range map[string]string{
		"":                              "no program is set",
		"/no/such/program":              "no such file",
		"sh -c false":                   "it ended",
		"ls /no/such/folder/of/anybody": "No such file",
	} {
		m := run(t, Config{Kind: Audio, Name: "recorder", Open: Recorder(command), Rate: 8000, LowHz: 300,
			HighHz: 3000})
		end := time.Now().Add(5 * time.Second)
		for m.Trouble() == "" && time.Now().Before(end) {
			time.Sleep(5 * time.Millisecond)
		}
		if got := m.Trouble(); !strings.Contains(got, want) {
			t.Errorf("%q: %q, want %q", command, got, want)
		}
	}
}

func TestConfigIsChecked(t *testing.T) {
	open := Network("127.0.0.1:1")
	for name, c := range map[string]Config{
		"nothing opens it": {},
		"no query":         {Kind: SCPI, Open: open, Every: time.Second},
		"too often":        {Kind: SCPI, Open: open, Query: "R?", Every: time.Millisecond},
		"no band":          {Kind: Audio, Open: open, Rate: 48000},
		"beyond half":      {Kind: Audio, Open: open, Rate: 8000, LowHz: 100, HighHz: 5000},
	} {
		if _, err := New(c); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
}

// Whatever comes on a line is a number, or none; it is never anything else.
func FuzzLine(f *testing.F) {
	for _, line := range []string{"-12.34", "1.5e1 dBm", "", "NaN", "0x1p3", "+Inf", "9.91E37", "1,2", "\x00\xff"} {
		f.Add(line)
	}
	f.Fuzz(func(t *testing.T, line string) {
		m := &Meter{}
		m.put(Sample{}, number(line))
		s := m.Take()[0]
		if math.IsNaN(s.LevelDB) || math.Abs(s.LevelDB) > 1000 {
			t.Errorf("%q gives %+v", line, s)
		}
	})
}

// Noise scatters as the radiometer equation says; a level that automatic gain
// holds does not, and is told after five minutes.
func TestAutomaticGainIsFound(t *testing.T) {
	const rate, low, high = 8000, 1000.0, 2000.0
	chance := rand.New(rand.NewPCG(5, 1))
	for name, held := range map[string]float64{"none": 0, "slow": 0.15, "fast": 0.6} {
		steady := steadiness{bandHz: high - low}
		transform := fourier.NewFFT(rate / blocksPerSecond)
		values := make([]float64, rate/blocksPerSecond)
		gain, found := 1.0, 0
		for block := range 700 * blocksPerSecond {
			drift := 1 + 0.3*math.Sin(float64(block)/400) // what is heard changes slowly
			for i := range values {
				values[i] = 0.05 * gain * drift * chance.NormFloat64()
			}
			power := bandPower(transform, values, rate, low, high)
			if steady.regulated(power) {
				found++
			}
			// It holds the level of a block by the one before.
			gain *= math.Pow(0.0025/4/power, held/2)
		}
		if held == 0 && found != 0 || held != 0 && found == 0 {
			t.Errorf("%s: told %d times", name, found)
		}
	}
}
