// Package lastsession carries from one session to the next what must not be
// forgotten between them: whether it ended in order, a lock-out with its cause,
// axes that are not trusted any more, trips that stood at the enclosure. It is
// written as soon as it is known, before anybody can act upon it by starting
// the program again; what could not be written counts against trust.
package lastsession

import (
	"context"
	"errors"
	"os"
	"strings"
	"sync"
	"time"

	"beamhelm/app/settings/kept"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
	"beamhelm/ending"
)

// name is under which the note is kept.
const name = "last-session"

// Note is what is written of a session.
type Note struct {
	// Ended: the session ended in order. It is false from the session's begin on.
	Ended bool      `json:"ended_in_order"`
	At    time.Time `json:"at"`
	// Powered: the drives had power, or were asked for it, at some time.
	Powered bool `json:"powered"`
	// Locked out by Cause, the name of a guard's row, empty for the operator's Stop.
	Locked bool   `json:"locked_out"`
	Cause  string `json:"cause,omitempty"`
	Axis   int8   `json:"axis"`
	// Distrusted axes, and when each axis was last referenced, 0 for never.
	Distrusted [2]bool  `json:"distrusted"`
	Referenced [2]int64 `json:"referenced_unix_ns"`
	// Trips stood at the enclosure, as register 002E has them.
	Trips enclosure.Trips `json:"trips"`
}

// after is the note of a session whose last note was n, by the loop's newest status.
func (n Note) after(s *step.Status) Note {
	n.Powered = n.Powered || s.Power != step.PowerOff
	n.Locked, n.Cause, n.Axis = s.Lock.Locked, "", guard.NoAxis
	if s.Lock.Locked && s.Lock.Cause.Code != guard.None {
		n.Cause, n.Axis = s.Lock.Cause.Code.String(), s.Lock.Cause.Axis
	}
	for i := range s.Axes {
		n.Distrusted[i], n.Referenced[i] = s.Axes[i].Distrusted, s.Axes[i].Kept.AtUnixNanos
	}
	if s.HasMotion {
		n.Trips = s.Motion.Trips
	}
	return n
}

// Left is what the last session left, as the next one takes it up.
type Left struct {
	Locked     bool
	Cause      guard.Finding
	Distrusted [2]bool
	// Words say it to the operator, empty where all was in order.
	Words string
}

// Read reads what the last session left. References are those kept by it. What
// can't be read, or isn't there though references are, counts as a session that
// did not end in order; then err says why, and Left holds all the same.
func Read(store kept.Store, references [2]mount.Reference) (Left, error) {
	note, err := kept.Read(store, name, Note{Axis: guard.NoAxis}, nil)
	var hadReference [2]bool
	for i, r := range references {
		hadReference[i] = r.Origin != mount.NoOrigin
	}
	none := note.At.IsZero()
	switch {
	case none && err == nil && hadReference == [2]bool{}:
		return Left{Cause: guard.Finding{Axis: guard.NoAxis}}, nil
	case none:
		return Left{
			Locked: true, Cause: guard.Finding{Axis: guard.NoAxis}, Distrusted: hadReference,
			Words: "How the last session ended is not known",
		}, err
	}
	return note.left(references), nil
}

// left is what a note means for the next session.
func (n Note) left(references [2]mount.Reference) Left {
	l := Left{Locked: n.Locked, Cause: guard.Finding{Code: coded(n.Cause), Axis: n.Axis}, Distrusted: n.Distrusted}
	if n.Locked {
		l.Words = "The last session ended locked out"
	}
	// A power cut or a crash while the drives could move: what the dish did
	// since the last note, nobody has judged.
	if !n.Ended {
		l.Words = "The last session did not end in order"
		l.Locked = l.Locked || n.Powered
	}
	for i, r := range references {
		known := r.Origin != mount.NoOrigin
		// Another reference was given than the one that was kept.
		stale := known && n.Referenced[i] != 0 && n.Referenced[i] != r.AtUnixNanos
		l.Distrusted[i] = l.Distrusted[i] || stale || known && !n.Ended && n.Powered
		if l.Distrusted[i] && l.Words == "" {
			l.Words = "The last session ended with an axis that was not referenced"
		}
	}
	if trips := tripWords(n.Trips); trips != "" && l.Words != "" {
		l.Words += "; trips at the enclosure: " + trips
	}
	return l
}

// Store is where notes are kept.
type Store interface {
	Write(name string, value any) error
	Remove(name string) error
}

// Keeper writes the notes of a session.
type Keeper struct {
	store Store

	mu      sync.Mutex
	written Note
	sure    bool // written is what lies on the disk
	trouble string
}

// NewKeeper begins a session's notes: from now on it counts as one that did not
// end in order. A note that can't be written at all is removed: none is better
// than one that says the opposite. What goes wrong is told by Trouble.
func NewKeeper(store Store, left Left, now time.Time) *Keeper {
	k := &Keeper{store: store}
	first := Note{At: now, Axis: guard.NoAxis, Locked: left.Locked, Distrusted: left.Distrusted}
	if left.Locked && left.Cause.Code != guard.None {
		first.Cause, first.Axis = left.Cause.Code.String(), left.Cause.Axis
	}
	if err := k.write(first); err != nil {
		if gone := store.Remove(name); gone != nil && !errors.Is(gone, os.ErrNotExist) {
			k.say(errors.Join(err, gone))
		}
	}
	return k
}

// Trouble says why the session can't be noted; empty for no trouble.
func (k *Keeper) Trouble() string {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.trouble
}

func (k *Keeper) say(err error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.trouble = ""; err != nil {
		k.trouble = err.Error()
	}
}

func (k *Keeper) write(n Note) error {
	err := k.store.Write(name, n)
	k.say(err)
	k.sure = err == nil
	if err == nil {
		k.written = n
	}
	return err
}

const (
	lookEvery  = 20 * time.Millisecond
	retryEvery = time.Second
)

// Run writes a note whenever what it says has changed, until the context ends.
// status is the loop's newest.
func (k *Keeper) Run(ctx context.Context, status func() *step.Status) {
	ticker := time.NewTicker(lookEvery)
	defer ticker.Stop()
	var retry time.Time
	for {
		select {
		case <-ctx.Done():
			return
		case now := <-ticker.C:
			ending.Here("keeper")
			if n := k.written.after(status()); (!n.same(k.written) || !k.sure) && now.After(retry) {
				n.At = now.UTC()
				if k.write(n) != nil {
					retry = now.Add(retryEvery)
				}
			}
		}
	}
}

// End writes that the session ended in order, after Run has ended and with the loop's last status.
func (k *Keeper) End(last *step.Status, now time.Time) {
	n := k.written.after(last)
	n.Ended, n.At = true, now.UTC()
	_ = k.write(n) // Trouble has it; the next session finds a session without an end
}

// same reports that two notes say the same, whenever they were written.
func (n Note) same(o Note) bool {
	n.At = o.At
	return n == o
}

// coded is the guard of a name; none where there is no such guard.
func coded(name string) guard.Code {
	for _, row := range guard.Rows() {
		if row.Name == name {
			return row.Code
		}
	}
	return guard.None
}

// tripWords name the trips of register 002E, from bit 0 on.
func tripWords(trips enclosure.Trips) string {
	names := [...]string{
		"watchdog", "azimuth drive fault", "elevation drive fault", "enclosure started", "stop circuit", "hand panel",
		"drive power",
		"azimuth encoder fault", "elevation encoder fault",
	}
	var stood []string
	for i, name := range names {
		if trips.Has(1 << i) {
			stood = append(stood, name)
		}
	}
	return strings.Join(stood, ", ")
}
