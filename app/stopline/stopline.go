// Package stopline carries the one order accepted from outside the window:
// stop. A running panel listens on a local socket that only its own user can
// open; anyone who connects and sends the word gets the dish stopped and is
// told what came of it. No other word does anything.
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
	"time"
)

// word is what a caller sends; a line of its own.
const word = "stop"

// patience is how long either side waits for the other.
const patience = 5 * time.Second

// ErrNobody means that no panel of this user is running.
var ErrNobody = errors.New("no running panel was found")

// Path is where the socket of this user's panel lies: in the run-time folder
// of the session, or else in the temporary folder under a name with the user's number.
func Path() string {
	if folder := os.Getenv("XDG_RUNTIME_DIR"); folder != "" {
		return filepath.Join(folder, "beamhelm-stop")
	}
	return filepath.Join(os.TempDir(), fmt.Sprintf("beamhelm-stop-%d", os.Getuid()))
}

// Listen answers callers until ctx ends. stop is called for each stop asked
// and returns what to tell the caller; it must not block for long. A socket
// left by a panel that died is taken over; one that answers is an error.
func Listen(ctx context.Context, path string, stop func() string) error {
	if err := clear(path); err != nil {
		return err
	}
	listener, err := net.Listen("unix", path)
	if err != nil {
		return fmt.Errorf("listen for stop on %s: %w", path, err)
	}
	if err := os.Chmod(path, 0o600); err != nil {
		listener.Close()
		return fmt.Errorf("listen for stop on %s: %w", path, err)
	}
	go func() {
		<-ctx.Done()
		listener.Close()
	}()
	for {
		connection, err := listener.Accept()
		if err != nil {
			if ctx.Err() != nil {
				return nil
			}
			return fmt.Errorf("listen for stop on %s: %w", path, err)
		}
		go answer(connection, stop)
	}
}

// clear removes a socket that nobody answers on any more.
func clear(path string) error {
	info, err := os.Lstat(path)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("look at %s: %w", path, err)
	}
	if info.Mode()&os.ModeSocket == 0 {
		return fmt.Errorf("%s is in the way: it is not a socket", path)
	}
	if connection, err := net.DialTimeout("unix", path, patience); err == nil {
		connection.Close()
		return fmt.Errorf("another panel already listens on %s", path)
	}
	if err := os.Remove(path); err != nil && !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("remove the left-over %s: %w", path, err)
	}
	return nil
}

func answer(connection net.Conn, stop func() string) {
	defer connection.Close()
	_ = connection.SetDeadline(time.Now().Add(patience))
	line, err := bufio.NewReader(io.LimitReader(connection, 64)).ReadString('\n')
	if err != nil && line == "" {
		return
	}
	if strings.TrimSpace(line) != word {
		fmt.Fprintln(connection, "only stop is accepted here")
		return
	}
	fmt.Fprintln(connection, stop())
}

// Ask asks the panel that listens on path to stop its dish and returns its answer.
func Ask(path string) (string, error) {
	connection, err := net.DialTimeout("unix", path, patience)
	if err != nil {
		return "", fmt.Errorf("%w at %s: %w", ErrNobody, path, err)
	}
	defer connection.Close()
	_ = connection.SetDeadline(time.Now().Add(patience))
	if _, err := fmt.Fprintln(connection, word); err != nil {
		return "", fmt.Errorf("ask the panel to stop: %w", err)
	}
	line, err := bufio.NewReader(io.LimitReader(connection, 1024)).ReadString('\n')
	if err != nil {
		return "", fmt.Errorf("wait for the panel's answer: %w", err)
	}
	return strings.TrimSpace(line), nil
}
