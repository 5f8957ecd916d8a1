package meter

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"beamhelm/ending"
)

// longestLine is the longest line that a number is looked for in, bytes.
const longestLine = 256

// lines reads a number from each line.
func (m *Meter) lines(port io.Reader) error {
	in := bufio.NewReaderSize(port, longestLine)
	last := time.Time{}
	for {
		line, err := readLine(in)
		if err != nil {
			return err
		}
		now := time.Now()
		if line == "" {
			continue
		}
		s := Sample{At: now}
		if !last.IsZero() && now.Sub(last) < 10*time.Second {
			// What a meter sends is the mean of the time since it last sent.
			s.Lasts = now.Sub(last)
			s.At = now.Add(-s.Lasts / 2)
		}
		last = now
		value := number(line)
		m.put(s, value)
	}
}

// readLine is the next line without its end; one that is too long counts as
// nonsense, and the rest of it is left out.
func readLine(in *bufio.Reader) (string, error) {
	line, err := in.ReadSlice('\n')
	if errors.Is(err, bufio.ErrBufferFull) {
		for errors.Is(err, bufio.ErrBufferFull) {
			_, err = in.ReadSlice('\n')
		}
		return "?", err
	}
	return strings.TrimSpace(string(line)), err
}

// number is the one number of a line, NaN where there is none; words after it,
// as a unit, do no harm.
func number(line string) float64 {
	first, _, _ := strings.Cut(strings.TrimLeft(line, " \t"), " ")
	first, _, _ = strings.Cut(first, ",")
	for _, unit := range []string{"dBm", "dB"} {
		first = strings.TrimSuffix(first, unit)
	}
	value, err := strconv.ParseFloat(first, 64)
	if err != nil && !errors.Is(err, strconv.ErrRange) {
		return math.NaN()
	}
	return value
}

// The numbers by which an instrument says that it has none (SCPI 1999, volume 1, 7.2.1.4 and 7.2.1.5).
const (
	scpiInfinity = 9.9e37
	scpiNaN      = 9.91e37
)

// patience is how long an instrument may take to answer.
const patience = 2 * time.Second

// ask asks an instrument what it is (IEEE 488.2, 10.14), and then the query every so often.
func (m *Meter) ask(ctx context.Context, port io.ReadWriter) error {
	in := bufio.NewReaderSize(port, 2*longestLine)
	identity, _, err := m.query(port, in, "*IDN?")
	if err != nil {
		return err
	}
	m.mu.Lock()
	m.identity = identity
	m.mu.Unlock()
	ticker := time.NewTicker(m.config.Every)
	defer ticker.Stop()
	for {
		answer, took, err := m.query(port, in, m.config.Query)
		if err != nil {
			return err
		}
		value := number(answer)
		if math.Abs(value) == scpiNaN {
			value = math.NaN()
		}
		m.put(Sample{At: time.Now().Add(-took / 2), Lasts: took}, value)
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-ticker.C:
		}
	}
}

// query asks one thing. An instrument that stays silent is given up: what it
// would say later would be taken for the answer to something else.
func (m *Meter) query(port io.ReadWriter, in *bufio.Reader, words string) (answer string, took time.Duration,
	err error) {
	type reply struct {
		line string
		err  error
	}
	asked := time.Now()
	if _, err := fmt.Fprintf(port, "%s\n", words); err != nil {
		return "", 0, err
	}
	replies := make(chan reply, 1)
	ending.Go("meter's answer", func() {
		ending.Here("meter's answer")
		line, err := readLine(in)
		replies <- reply{line, err}
	})
	select {
	case r := <-replies:
		return r.line, time.Since(asked), r.err
	case <-time.After(patience):
		if closer, ok := port.(io.Closer); ok {
			closer.Close()
		}
		<-replies
		return "", 0, fmt.Errorf("no answer to %q within %v", words, patience)
	}
}
