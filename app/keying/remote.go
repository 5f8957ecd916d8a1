package keying

import (
	"bufio"
	"fmt"
	"io"
	"os/exec"
	"sync"
	"time"

	"beamhelm/ending"
)

// Remote keys by way of the owner of a line, in another process or beside.
type Remote struct {
	limit time.Duration
	to    io.WriteCloser
	wake  chan struct{}
	close chan struct{}
	once  sync.Once
	group ending.Group
	kill  func()

	mu    sync.Mutex
	on    bool      // as asked
	renew time.Time // when it was last asked
	spent bool      // it was on for the limit: only an order to unkey ends that
	state State
}

// Start starts the process that owns a line: a command that runs Own on its input and output.
func Start(command *exec.Cmd, limit time.Duration) (*Remote, error) {
	to, err := command.StdinPipe()
	if err != nil {
		return nil, fmt.Errorf("keying: %w", err)
	}
	from, err := command.StdoutPipe()
	if err != nil {
		return nil, fmt.Errorf("keying: %w", err)
	}
	if err := command.Start(); err != nil {
		return nil, fmt.Errorf("keying: %w", err)
	}
	r := remote(to, from, limit, func() { _ = command.Wait() })
	r.kill = func() { _ = command.Process.Kill() } // its port falls with it
	return r, nil
}

// Beside lets the owner of a line work in this process: for a line that ends with it, as that of a simulated dish.
func Beside(line Line, limit time.Duration) *Remote {
	orders, to := io.Pipe()
	from, told := io.Pipe()
	return remote(to, from, limit, func() {}, func() {
		_ = Own(orders, told, line, limit) // told as trouble
		told.Close()
		orders.Close()
	})
}

func remote(to io.WriteCloser, from io.Reader, limit time.Duration, wait func(), beside ...func()) *Remote {
	r := &Remote{limit: min(limit, MaxLimit), to: to, wake: make(chan struct{}, 1), close: make(chan struct{}),
		kill: func() {}}
	for _, work := range beside {
		r.group.Go("keying line", work)
	}
	r.group.Go("keying", r.run)
	r.group.Go("keying told", func() {
		r.listen(from)
		wait()
	})
	return r
}

// Key implements Keyer.
func (r *Remote) Key(on bool) {
	r.mu.Lock()
	if !on {
		r.spent = false
		if r.state.Ready {
			r.state.Trouble = ""
		}
	}
	r.on, r.renew = on, time.Now()
	r.mu.Unlock()
	r.rouse()
}

// rouse has run see at once what is asked.
func (r *Remote) rouse() {
	select {
	case r.wake <- struct{}{}:
	default:
	}
}

// State implements Keyer.
func (r *Remote) State() State {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.state
}

// Close implements Keyer.
func (r *Remote) Close() {
	r.Key(false)
	r.once.Do(func() { close(r.close) })
	ended := make(chan struct{})
	ending.Go("keying end", func() { r.group.Wait(); close(ended) })
	for range 2 {
		select {
		case <-ended:
			return
		case <-time.After(closeWithin):
			r.kill() // a call into the port's driver doesn't return
		}
	}
}

// closeWithin is how long the end of a line's owner is waited for.
const closeWithin = time.Second

// run gives the signs of life. The limit is kept here too, by a clock that neither window nor desk holds.
func (r *Remote) run() {
	defer r.to.Close()
	ticker := time.NewTicker(beat)
	defer ticker.Stop()
	var raised time.Time
	sent, beating := false, true
	for {
		select {
		case <-r.close:
			_, _ = r.to.Write([]byte{unkey})
			return
		case <-r.wake:
		case <-ticker.C:
		}
		ending.Here("keying")
		on := r.asked(raised)
		if on && !sent {
			raised = time.Now()
		}
		if keyed := on || sent; beating && !keyed {
			ticker.Stop() // nothing is due until something is asked
			beating = false
		} else if keyed && !beating {
			ticker.Reset(beat)
			beating = true
		}
		if !on && !sent {
			continue
		}
		word := byte(unkey)
		if on {
			word = key
		}
		if _, err := r.to.Write([]byte{word}); err != nil {
			r.fail("the line's owner has ended")
			return
		}
		if sent = on; !on {
			raised = time.Time{}
		}
	}
}

// asked is whether to key now.
func (r *Remote) asked(raised time.Time) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	switch {
	case !r.on || raised.IsZero():
	case time.Since(raised) >= r.limit:
		r.spent = true
		r.state.Trouble = "it was keyed for longer than the limit"
	case time.Since(r.renew) >= lapse:
		r.spent = true
		r.state.Trouble = "nobody asked for it any more"
	}
	return r.on && !r.spent && r.state.Ready && r.state.Trouble == ""
}

// listen takes in what the owner tells until it ends.
func (r *Remote) listen(from io.Reader) {
	told := bufio.NewScanner(from)
	for told.Scan() {
		line := told.Text()
		if line == "" {
			continue
		}
		r.mu.Lock()
		switch line[0] {
		case ready:
			r.state.Ready = true
		case key:
			r.state.High = true
		case unkey:
			r.state.High = false
		case fault:
			r.state.High, r.state.Trouble, r.spent = false, line[1:], true
		}
		r.mu.Unlock()
		r.rouse() // it may wait for the owner to be ready
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.state.Ready, r.state.High = false, false
	if r.state.Trouble == "" {
		r.state.Trouble = "the line's owner has ended"
	}
}

func (r *Remote) fail(words string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.state.Trouble = words
}
