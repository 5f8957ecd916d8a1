// Package stopline carries the one order accepted from outside the window:
// stop. Every running panel listens on a local socket of its own, in a folder
// that only its user can enter. Whoever connects and sends the word gets the
// dish stopped and is told what came of it. No other word does anything. Both
// sides ask the kernel who is at the other end, where it can tell.
package stopline

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"beamhelm/ending"
)

// word is what a caller sends, a line of its own. The answer is a line too: one
// of the two outcomes, a space, and words for a person.
const (
	word      = "stop"
	confirmed = "confirmed"
	asked     = "asked"
)

const (
	// patience is how long either side waits for the other.
	patience = 8 * time.Second
	// retryEvery is how long after trouble the panel tries to listen again, and
	// how often it looks whether its socket is still there.
	retryEvery = time.Second
	// maxCallers are answered at the same time; others wait.
	maxCallers = 32
	// wordWithin is how long a caller may take to say what it wants, so that
	// those who say nothing keep nobody waiting for long.
	wordWithin = time.Second
)

// Stopper stops the dish and says what came of it: standing only when the
// counts have confirmed it. It must return within 7.5 s, and at once when the context ends.
type Stopper func(ctx context.Context) (standing bool, words string)

// Line is a panel's end. Its methods may be called from any goroutine.
type Line struct {
	folders []string
	name    string
	stop    Stopper

	mu      sync.Mutex
	trouble string
}

// New returns a line that listens nowhere yet.
func New(stop Stopper) *Line {
	return &Line{folders: Folders(), name: fmt.Sprintf("%s%d%s", prefix, os.Getpid(), suffix), stop: stop}
}

// Trouble says why a stop can't be asked for from outside; empty when it can.
func (l *Line) Trouble() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.trouble
}

func (l *Line) say(err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.trouble = ""; err != nil {
		l.trouble = err.Error()
	}
}

// Run answers callers until the context ends. What fails is told by Trouble and
// tried again: a socket that somebody removed is made again.
func (l *Line) Run(ctx context.Context) {
	for ctx.Err() == nil {
		err := l.serve(ctx)
		if ctx.Err() != nil {
			return
		}
		l.say(err)
		select {
		case <-ctx.Done():
		case <-time.After(retryEvery):
		}
	}
}

// serve listens until the context ends or something fails.
func (l *Line) serve(ctx context.Context) error {
	folder, err := usable(l.folders, l.name)
	if err != nil {
		return fmt.Errorf("listen for stop: %w", err)
	}
	removeLeft(folder)
	path := filepath.Join(folder, l.name)
	if err := os.Remove(path); err != nil && !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("listen for stop: %w", err)
	}
	listener, err := net.ListenUnix("unix", &net.UnixAddr{Name: path, Net: "unix"})
	if err != nil {
		return fmt.Errorf("listen for stop: %w", err)
	}
	defer listener.Close()
	if err := os.Chmod(path, 0o600); err != nil {
		return fmt.Errorf("listen for stop: %w", err)
	}
	ends := context.AfterFunc(ctx, func() { listener.Close() })
	defer ends()
	return l.accept(ctx, listener, path)
}

// accept answers callers until the listener is closed or its socket is gone. A
// moment without descriptors or memory is told and outlasted.
func (l *Line) accept(ctx context.Context, listener *net.UnixListener, path string) error {
	own, err := os.Lstat(path)
	if err != nil {
		return fmt.Errorf("listen for stop: %w", err)
	}
	room := make(chan struct{}, maxCallers)
	var callers ending.Group
	defer callers.Wait()
	for {
		ending.Here("stop line")
		_ = listener.SetDeadline(time.Now().Add(retryEvery))
		connection, err := listener.AcceptUnix()
		switch {
		case errors.Is(err, net.ErrClosed):
			return nil
		case errors.Is(err, os.ErrDeadlineExceeded):
			l.say(nil)
			if now, err := os.Lstat(path); err != nil || !os.SameFile(own, now) {
				return fmt.Errorf("listen for stop: the socket %s was removed", path)
			}
		case err != nil:
			l.say(fmt.Errorf("listen for stop: %w", err))
			time.Sleep(retryEvery / 10)
		default:
			select {
			case room <- struct{}{}:
			case <-ctx.Done():
				connection.Close()
				return nil
			}
			callers.Go("stop line's caller", func() { l.answer(ctx, connection); <-room })
		}
	}
}

// answer answers a caller. The end of the context waits neither for its word nor for what comes of it.
func (l *Line) answer(ctx context.Context, connection *net.UnixConn) {
	defer connection.Close()
	ending.Here("stop line's caller")
	_ = connection.SetDeadline(time.Now().Add(wordWithin))
	ends := context.AfterFunc(ctx, func() { _ = connection.SetReadDeadline(time.Now()) })
	defer ends()
	if err := trusted(connection); err != nil {
		fmt.Fprintln(connection, "refused:", err)
		return
	}
	line, err := bufio.NewReader(io.LimitReader(connection, 64)).ReadString('\n')
	if err != nil && line == "" {
		return
	}
	if strings.TrimSpace(line) != word {
		fmt.Fprintln(connection, "only stop is accepted here")
		return
	}
	_ = connection.SetDeadline(time.Now().Add(patience))
	standing, words := l.stop(ctx)
	outcome := asked
	if standing {
		outcome = confirmed
	}
	fmt.Fprintln(connection, outcome, words)
}
