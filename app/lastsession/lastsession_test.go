package lastsession

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"beamhelm/app/settings/kept"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

var now = time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)

func referenced(at int64) [2]mount.Reference {
	r := mount.Reference{Origin: mount.ByHand, AtUnixNanos: at}
	return [2]mount.Reference{r, r}
}

// status is that of a loop with both axes referenced at that moment.
func status(at int64, change func(*step.Status)) *step.Status {
	s := &step.Status{}
	for i := range s.Axes {
		s.Axes[i].Kept = mount.Reference{Origin: mount.ByHand, AtUnixNanos: at}
	}
	if change != nil {
		change(s)
	}
	return s
}

// TestWhatTheNextSessionFinds runs a session through statuses, ends it in order
// or not at all, and reads what it left.
func TestWhatTheNextSessionFinds(t *testing.T) {
	powered := func(s *step.Status) { s.Power = step.PowerOn }
	tripped := func(s *step.Status) {
		s.Lock = step.Lock{Locked: true, Cause: guard.Finding{Code: guard.EncoderSilent, Axis: 0}}
		s.Axes[0].Distrusted = true
		s.HasMotion, s.Motion.Trips = true, enclosure.TripAzEncoder|enclosure.TripStarted
	}
	for _, row := range []struct {
		name       string
		through    []*step.Status
		ends       bool
		references [2]mount.Reference
		locked     bool
		cause      guard.Code
		distrusted [2]bool
		words      string
	}{
		{"in order, after a night of work", []*step.Status{status(5, powered), status(5, nil)}, true, referenced(5),
			false, guard.None, [2]bool{}, ""},
		{"in order, nothing referenced yet", []*step.Status{{}}, true, [2]mount.Reference{}, false, guard.None,
			[2]bool{}, ""},
		{"killed without power", []*step.Status{status(5, nil)}, false, referenced(5), false, guard.None, [2]bool{},
			"did not end in order"},
		{"killed with power", []*step.Status{status(5, powered)}, false, referenced(5), true, guard.None,
			[2]bool{true, true}, "did not end in order"},
		{"killed after the power was off again", []*step.Status{status(5, powered), status(5, nil)}, false,
			referenced(5), true, guard.None, [2]bool{true, true}, "did not end in order"},
		{"tripped, ended in order", []*step.Status{status(5, powered), status(5, tripped)}, true, referenced(5), true,
			guard.EncoderSilent, [2]bool{true, false},
			"ended locked out; trips at the enclosure: enclosure started, azimuth encoder fault"},
		{"tripped and killed", []*step.Status{status(5, tripped)}, false, referenced(5), true, guard.EncoderSilent,
			[2]bool{true, false}, "did not end in order; trips"},
		{"stopped by the operator", []*step.Status{status(5, func(s *step.Status) { s.Lock.Locked = true })}, true,
			referenced(5), true, guard.None, [2]bool{}, "ended locked out"},
		{"released again", []*step.Status{status(5, tripped), status(6, nil)}, true, referenced(6), false, guard.None,
			[2]bool{}, ""},
		{"a position thrown away", []*step.Status{status(5, func(s *step.Status) { s.Axes[1].Distrusted = true })},
			true, referenced(5), false, guard.None, [2]bool{false, true}, "not referenced"},
		{"killed before a new reference was kept", []*step.Status{status(6, nil)}, false, referenced(5), false,
			guard.None, [2]bool{true, true}, "did not end in order"},
	} {
		t.Run(row.name, func(t *testing.T) {
			store := kept.Store{Folder: t.TempDir()}
			k := NewKeeper(store, Left{}, now)
			last := row.through[len(row.through)-1]
			run(t, store, k, row.through)
			if row.ends {
				k.End(last, now)
			}
			if k.Trouble() != "" {
				t.Error(k.Trouble())
			}
			left, err := Read(store, row.references)
			if err != nil || left.Locked != row.locked || left.Cause.Code != row.cause ||
				left.Distrusted != row.distrusted {
				t.Errorf("%+v, %v", left, err)
			}
			if !strings.Contains(left.Words, row.words) || (row.words == "") != (left.Words == "") {
				t.Errorf("words %q, want %q", left.Words, row.words)
			}
		})
	}
}

// run lets a keeper see each status until it has written what it says.
func run(t *testing.T, store kept.Store, k *Keeper, through []*step.Status) {
	t.Helper()
	var newest atomic.Pointer[step.Status]
	for _, s := range through {
		newest.Store(s)
		ctx, end := context.WithCancel(t.Context())
		done := make(chan struct{})
		go func() { k.Run(ctx, newest.Load); close(done) }()
		deadline := time.Now().Add(20 * time.Second)
		for wants := true; wants; {
			if time.Now().After(deadline) {
				t.Fatal("it is never written")
			}
			note, err := kept.Read(store, name, Note{}, nil)
			wants = err != nil || !note.after(s).same(note)
		}
		end()
		<-done
	}
}

// A lock-out that nobody released goes on through sessions in which nothing happens.
func TestALockOutStaysUntilReleased(t *testing.T) {
	store := kept.Store{Folder: t.TempDir()}
	left := Left{Locked: true, Cause: guard.Finding{Code: guard.Stalled, Axis: 1}, Distrusted: [2]bool{false, true}}
	NewKeeper(store, left, now)
	got, err := Read(store, referenced(5))
	if err != nil || !got.Locked || got.Cause != left.Cause || got.Distrusted != left.Distrusted {
		t.Errorf("%+v, %v", got, err)
	}
}

// Where nothing says how the session ended, nothing of it is trusted; a first start isn't asked anything.
func TestWithoutANote(t *testing.T) {
	store := kept.Store{Folder: t.TempDir()}
	if got, err := Read(store, [2]mount.Reference{}); err != nil || got.Locked || got.Words != "" {
		t.Errorf("a first start: %+v, %v", got, err)
	}
	if got, err := Read(store, referenced(5)); err != nil || !got.Locked || got.Distrusted != [2]bool{true, true} ||
		got.Words == "" {
		t.Errorf("references without a note: %+v, %v", got, err)
	}
	NewKeeper(store, Left{}, now)
	path := filepath.Join(store.Folder, name+".json")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, text[:len(text)/2], 0o600); err != nil {
		t.Fatal(err)
	}
	if got, err := Read(store, referenced(5)); err == nil || !got.Locked || got.Distrusted != [2]bool{true, true} {
		t.Errorf("half a note: %+v, %v", got, err)
	}
}

// Where the begin of a session can't be written, no note of an end in order may stay.
func TestANoteThatCannotBeWritten(t *testing.T) {
	store := kept.Store{Folder: t.TempDir()}
	k := NewKeeper(store, Left{}, now)
	k.End(status(5, nil), now)
	path := filepath.Join(store.Folder, name+".json")
	if k := NewKeeper(full{store}, Left{}, now); k.Trouble() == "" {
		t.Error("no trouble is told")
	}
	if _, err := os.Lstat(path); err == nil {
		t.Error("the old note is still there")
	}
	if got, _ := Read(store, referenced(5)); !got.Locked || got.Distrusted != [2]bool{true, true} {
		t.Errorf("%+v", got)
	}
}

// full is a store on a full disk.
type full struct{ kept.Store }

func (full) Write(string, any) error { return syscall.ENOSPC }
