//go:build linux && !race

package powerloss

import (
	"bufio"
	"context"
	"database/sql"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"beamhelm/app/faultydisk"
	"beamhelm/app/journal"
	"beamhelm/app/lastsession"
	"beamhelm/app/settings"
	"beamhelm/app/settings/kept"
	"beamhelm/drive/guard"
)

// maxLost is what a power cut may take of the records.
const maxLost = 2 * time.Second

// TestPowerLoss cuts the power at a random change of the disk: the records are
// whole and lack no more than maxLost, every kept file is the newest that was
// told to be kept, or one newer, whole, and how the last session ended is known.
func TestPowerLoss(t *testing.T) {
	room := make(chan bool, 3) // at a time
	for i := range cuts {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			t.Parallel()
			room <- true
			defer func() { <-room }()
			try(t, rand.Uint64())
		})
	}
}

// afterChanges is when the power is cut: half of the cuts fall into the first
// second, when files and folders are made, the others around checkpoints of the records.
func afterChanges(random *rand.Rand) int {
	if random.IntN(2) == 0 {
		return int(math.Exp(random.Float64() * math.Log(1000)))
	}
	return 1000 + random.IntN(7000)
}

func try(t *testing.T, seed uint64) {
	random := rand.New(rand.NewPCG(seed, 0))
	after := afterChanges(random)
	keeping := []float64{0, 0.1, 0.5, 0.9, 1}[random.IntN(5)]
	t.Logf("seed %d: cut after %d changes, %v of what was not brought to the disk kept", seed, after, keeping)
	told, disk := lose(t, after)
	left := filepath.Join(t.TempDir(), "left")
	if err := disk.Surviving(left, random, keeping); err != nil {
		t.Fatal(err)
	}
	p := placesIn(left)
	checkKept(t, p, told)
	checkSession(t, p, told)
	checkRecords(t, p, told)
	aside, err := filepath.Glob(filepath.Join(p.store.Folder, "*.damaged-*"))
	if err != nil || len(aside) > 0 {
		t.Errorf("damaged: %v, %v", aside, err)
	}
}

// lose lets the victim write until the power is cut, and returns what it had told by then.
func lose(t *testing.T, after int) (told map[string]int, disk *faultydisk.Disk) {
	disk = faultydisk.Mount(t)
	var mu sync.Mutex
	now := map[string]int{}
	cut := make(chan struct{})
	disk.CutAfter(after, func() {
		mu.Lock()
		defer mu.Unlock()
		told = maps.Clone(now)
		close(cut)
	})
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), victim+"="+disk.Folder)
	c.Stderr = os.Stderr
	out, err := c.StdoutPipe()
	if err == nil {
		err = c.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	read := make(chan struct{})
	go func() {
		defer close(read)
		for lines := bufio.NewScanner(out); lines.Scan(); {
			var what string
			var number int
			if _, err := fmt.Sscan(lines.Text(), &what, &number); err == nil {
				mu.Lock()
				now[what] = number
				mu.Unlock()
			}
		}
	}()
	select {
	case <-cut:
	case <-time.After(2 * time.Minute):
		t.Error("the power was never cut")
	}
	c.Process.Kill()
	<-read
	c.Wait() // says that it was killed
	if told == nil {
		t.FailNow()
	}
	t.Logf("told by then: %v", told)
	return told, disk
}

func checkKept(t *testing.T, p places, told map[string]int) {
	t.Helper()
	v, err := kept.Read(p.store, "trims", value{}, nil)
	if err != nil || v.Number < told[toldKept] || v.Number > 0 && v != valueOf(v.Number) {
		t.Errorf("what is kept: number %d, %v", v.Number, err)
	}
	if _, err := os.Stat(p.settings); os.IsNotExist(err) && told[toldSettings] == 0 {
		return
	}
	s, _, err := settings.LoadNamed(p.settings)
	want := settings.Practice()
	want.Station.HeightM = s.Station.HeightM
	if err != nil || s.Station.HeightM < float64(told[toldSettings]) || !reflect.DeepEqual(s, want) {
		t.Errorf("the settings: number %v, %v", s.Station.HeightM, err)
	}
}

func checkSession(t *testing.T, p places, told map[string]int) {
	t.Helper()
	r, err := kept.Read(p.store, "references", references(), nil)
	if err != nil || r != references() {
		t.Errorf("references %+v, %v", r, err)
	}
	left, err := lastsession.Read(p.store, references())
	switch stage := told[toldSession]; {
	case err != nil:
		t.Error(err)
	case stage >= begun && !strings.Contains(left.Words, "did not end in order"):
		t.Errorf("the session had begun; at the next start: %+v", left)
	case stage >= lockedOut && (!left.Locked || left.Cause.Code != guard.EncoderSilent ||
		left.Distrusted != [2]bool{true, true}):
		t.Errorf("the session had locked out; at the next start: %+v", left)
	}
}

// checkRecords opens the records as the next session does, and counts.
func checkRecords(t *testing.T, p places, told map[string]int) {
	t.Helper()
	j, err := journal.New(journal.Config{Path: p.records, Began: time.Now()})
	if err != nil {
		t.Fatal(err)
	}
	ctx, end := context.WithCancel(t.Context())
	end()
	j.Run(ctx) // opens, and closes again
	if j.Trouble() != "" {
		t.Errorf("the next session: %s", j.Trouble())
	}
	whole(t, p.records)
	db, err := sql.Open("sqlite", p.records)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var newest, count int
	if err := db.QueryRow("SELECT coalesce(max(number), 0), count(number) FROM event").Scan(&newest,
		&count); err != nil {
		t.Fatal(err)
	}
	lost := time.Duration(told[toldEvents]-min(told[toldEvents], newest)) * time.Second / eventsPerSecond
	t.Logf("%v of the records are lost", lost)
	if lost > maxLost || newest != count {
		t.Errorf("%d events, the newest %d, of %d: %v lost", count, newest, told[toldEvents], lost)
	}
}

// whole checks the file of the records as a reader sees it.
func whole(t *testing.T, path string) {
	t.Helper()
	r, err := journal.OpenReader(path)
	if err != nil {
		t.Error(err)
		return
	}
	defer r.Close()
	if faults, err := r.Check(context.Background()); err != nil || len(faults) > 0 {
		t.Errorf("the records: %v, %v", faults, err)
	}
}
