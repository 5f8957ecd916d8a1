package journal

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"beamhelm/app/desk"
	"beamhelm/app/message"
)

// victim is set in the environment of the process that is to be killed: the path of its file.
const victim = "BEAMHELM_JOURNAL_VICTIM"

// TestMain makes the test program the victim when it is asked to be.
func TestMain(m *testing.M) {
	if path := os.Getenv(victim); path != "" {
		writeForever(path)
	}
	goleak.VerifyTestMain(m)
}

// writeForever records at the full rate, a status ten times a second from a
// moving dish and 200 events a second, and tells the last number of each tenth.
func writeForever(path string) {
	j, err := New(Config{Path: path, Began: time.Now()})
	if err != nil {
		panic(err)
	}
	go j.Run(context.Background())
	d := newDish()
	d.moving = true
	number := uint64(0)
	for range time.Tick(100 * time.Millisecond) {
		d.at = time.Now()
		j.Take(d.status())
		for range 20 {
			number++
			j.Event(desk.Event{Number: number, At: d.at, Words: message.Text("one of many in a second")})
		}
		fmt.Println(number, j.Dropped(), j.Trouble())
	}
}

// maxLost is what may be lost when the program is killed.
const maxLost = 2 * time.Second

// TestKilledWhileWriting kills a writing process at a moment that isn't
// foreseen: the file is whole, no event is missing before the last, and the
// last is not older than maxLost.
func TestKilledWhileWriting(t *testing.T) {
	var wait sync.WaitGroup
	room := make(chan bool, 4) // at a time
	for i := range kills {
		path := filepath.Join(t.TempDir(), FileName)
		after := time.Second + time.Duration(rand.Int64N(int64(3*time.Second)))
		room <- true
		wait.Go(func() {
			kill(t, i, path, after)
			<-room
		})
	}
	wait.Wait()
}

func kill(t *testing.T, i int, path string, after time.Duration) {
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), victim+"="+path)
	out, err := c.StdoutPipe()
	if err == nil {
		err = c.Start()
	}
	if err != nil {
		t.Errorf("kill %d: %v", i, err)
		return
	}
	var last string
	var begin sync.Once
	for lines := bufio.NewScanner(out); lines.Scan(); {
		last = lines.Text()
		begin.Do(func() { time.AfterFunc(after, func() { c.Process.Kill() }) })
	}
	c.Wait() // says that it was killed
	fields := strings.SplitN(last, " ", 3)
	if len(fields) != 3 || fields[1] != "0" || fields[2] != "" {
		t.Errorf("kill %d after %v: it said %q at the end", i, after, last)
		return
	}
	told, err := strconv.ParseUint(fields[0], 10, 64)
	if err != nil {
		t.Errorf("kill %d: %v", i, err)
		return
	}
	r, err := OpenReader(path)
	if errors.Is(err, errEmpty) && time.Duration(told)*time.Second/200 <= maxLost {
		t.Logf("kill %d after %v: the file was being made", i, after)
		return
	}
	if err != nil {
		t.Errorf("kill %d after %v: %v", i, after, err)
		return
	}
	defer r.Close()
	if faults, err := r.Check(context.Background()); err != nil || len(faults) > 0 {
		t.Errorf("kill %d after %v: %v %v", i, after, faults, err)
	}
	var newest, count uint64
	if err := r.db.QueryRow("SELECT coalesce(max(number), 0), count(*) FROM event").Scan(&newest, &count); err != nil {
		t.Errorf("kill %d after %v: %v", i, after, err)
		return
	}
	lost := time.Duration(told-min(told, newest)) * time.Second / 200
	if lost > maxLost || newest != count {
		t.Errorf("kill %d after %v: %d events in the file, the newest %d, of %d told: %v lost", i, after, count, newest,
			told, lost)
	}
	t.Logf("kill %d after %v: %v lost", i, after.Round(time.Millisecond), lost)
}
