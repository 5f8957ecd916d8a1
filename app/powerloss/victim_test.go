//go:build linux && !race

package powerloss

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/app/lastsession"
	"beamhelm/app/message"
	"beamhelm/app/settings"
	"beamhelm/app/settings/kept"
	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// victim is set in the environment of the process that loses its disk: the disk's folder.
const victim = "BEAMHELM_POWERLOSS_VICTIM"

// TestMain makes the test program the victim when it is asked to be.
func TestMain(m *testing.M) {
	if folder := os.Getenv(victim); folder != "" {
		live(placesIn(folder))
	}
	os.Exit(m.Run())
}

// places are where things are on a disk.
type places struct {
	store             kept.Store
	settings, records string
}

func placesIn(folder string) places {
	state := filepath.Join(folder, "state", "beamhelm")
	return places{kept.Store{Folder: state}, filepath.Join(folder, "config", "beamhelm", "settings.toml"),
		filepath.Join(state, journal.FileName)}
}

// What the victim tells of, each with a number that only rises.
const (
	toldKept     = "kept"     // the number in the kept value, when it is on the disk
	toldSettings = "settings" // the height in the settings, when they are on the disk
	toldSession  = "session"  // one of the stages below
	toldEvents   = "events"   // how many have been handed over
)

// The stages of the notes of sessions.
const (
	endedInOrder = 1 + iota
	begun        // the next one
	lockedOut    // with a cause
)

// tell says something to the test, a line each.
func tell(what string, number int) { fmt.Println(what, number) }

// value is what is kept: some sectors long, and different all over with each number.
type value struct {
	Number int
	Filler string
}

func valueOf(number int) value {
	return value{number, strings.Repeat(fmt.Sprintf("%08d ", number), 400)}
}

// references as they are once both axes were referenced.
func references() [2]mount.Reference {
	r := mount.Reference{Origin: mount.ByHand, AtUnixNanos: 5}
	return [2]mount.Reference{r, r}
}

// live writes everything at once, until it is ended.
func live(p places) {
	notes(p.store)
	go record(p.records)
	s := settings.Practice()
	for number := 1; ; number++ {
		must(p.store.Write("trims", valueOf(number)))
		tell(toldKept, number)
		s.Station.HeightM = float64(number)
		must(settings.Write(p.settings, s))
		tell(toldSettings, number)
		<-time.After(20 * time.Millisecond)
	}
}

// must ends the victim: its disk is gone.
func must(err error) {
	if err != nil {
		os.Exit(0)
	}
}

// notes keeps the notes of a session that ended in order, and of the next, in
// which the drives have power and a guard locks out.
func notes(store kept.Store) {
	var status atomic.Pointer[step.Status]
	now := &step.Status{}
	for i := range now.Axes {
		now.Axes[i].Kept = references()[i]
	}
	status.Store(now)
	must(store.Write("references", references()))
	before := lastsession.NewKeeper(store, lastsession.Left{}, time.Now())
	before.End(now, time.Now())
	if before.Trouble() == "" {
		tell(toldSession, endedInOrder)
	}
	keeper := lastsession.NewKeeper(store, lastsession.Left{}, time.Now())
	if keeper.Trouble() == "" {
		tell(toldSession, begun)
	}
	go keeper.Run(context.Background(), status.Load)
	go func() {
		<-time.After(300 * time.Millisecond)
		locked := *now
		locked.Power = step.PowerOn
		locked.Lock = step.Lock{Locked: true, Cause: guard.Finding{Code: guard.EncoderSilent, Axis: 0}}
		status.Store(&locked)
		for {
			if left, err := lastsession.Read(store, references()); err == nil &&
				left.Cause.Code == guard.EncoderSilent {
				tell(toldSession, lockedOut)
				return
			}
			<-time.After(20 * time.Millisecond)
		}
	}()
}

// eventsPerSecond of the victim, long enough to fill the write-ahead log in a few seconds.
const eventsPerSecond = 200

// record records a moving dish at the full rate.
func record(path string) {
	j, err := journal.New(journal.Config{Path: path, Began: time.Now()})
	must(err)
	go j.Run(context.Background())
	words := strings.Repeat("one of many in a second ", 200)
	number := 0
	for range time.Tick(100 * time.Millisecond) {
		s := &desk.Status{At: time.Now(), Moving: true, Activity: desk.Slewing, Link: desk.Link{State: desk.LinkGood}}
		for i := range s.Axes {
			s.Axes[i] = desk.Axis{Fitted: true, Trusted: true, HasSetpoint: true}
		}
		j.Take(s)
		for range eventsPerSecond / 10 {
			number++
			j.Event(desk.Event{Number: uint64(number), At: s.At, Words: message.Text(words)})
		}
		tell(toldEvents, number)
	}
}
