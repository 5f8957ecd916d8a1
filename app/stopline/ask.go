package stopline

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"beamhelm/app/printable"
)

// Answer is what came of asking one panel.
type Answer struct {
	// Path is where its socket lies.
	Path string
	// Standing: the panel says that its dish stands still, confirmed by the counts.
	Standing bool
	// Words are the panel's, on one line of printable characters.
	Words string
	// Err says why the panel was not asked or did not answer.
	Err error
}

// Ask asks every running panel of this user to stop its dish, all at the same
// time, and returns what each said. Sockets that dead panels left are passed
// over. An error belongs to a folder that can't be trusted or read: a panel may
// listen there that was not asked.
func Ask() ([]Answer, error) { return askIn(Folders()) }

func askIn(folders []string) ([]Answer, error) {
	var paths []string
	var wrong error
	for _, folder := range folders {
		if _, err := os.Lstat(folder); errors.Is(err, os.ErrNotExist) {
			continue
		}
		if err := private(folder); err != nil {
			wrong = errors.Join(wrong, err)
			continue
		}
		found, err := filepath.Glob(filepath.Join(folder, prefix+"*"+suffix))
		wrong = errors.Join(wrong, err)
		paths = append(paths, found...)
	}
	answers := make([]Answer, len(paths))
	var all sync.WaitGroup
	for i, path := range paths {
		all.Go(func() { answers[i] = ask(path) })
	}
	all.Wait()
	living := answers[:0]
	for _, a := range answers {
		if !isDead(a.Err) {
			living = append(living, a)
		}
	}
	return living, wrong
}

func ask(path string) Answer {
	a := Answer{Path: path}
	connection, err := dial(path)
	if err != nil {
		a.Err = err
		return a
	}
	defer connection.Close()
	_ = connection.SetDeadline(time.Now().Add(patience))
	if a.Err = trusted(connection); a.Err != nil {
		return a
	}
	if _, err := fmt.Fprintln(connection, word); err != nil {
		a.Err = fmt.Errorf("ask the panel to stop: %w", err)
		return a
	}
	line, err := bufio.NewReader(io.LimitReader(connection, 1024)).ReadString('\n')
	if err != nil {
		a.Err = fmt.Errorf("wait for the panel's answer: %w", err)
		return a
	}
	outcome, words, _ := strings.Cut(strings.TrimSpace(line), " ")
	a.Standing, a.Words = outcome == confirmed, printable.Words(words)
	if outcome != confirmed && outcome != asked {
		a.Err = fmt.Errorf("the panel says: %s", printable.Words(strings.TrimSpace(line)))
	}
	return a
}

// dial connects; where too many callers wait already it waits too.
func dial(path string) (*net.UnixConn, error) {
	for until := time.Now().Add(patience); ; time.Sleep(patience / 100) {
		connection, err := net.DialUnix("unix", nil, &net.UnixAddr{Name: path, Net: "unix"})
		if err == nil || !isBusy(err) || time.Now().After(until) {
			return connection, err
		}
	}
}
