package drive

import (
	"encoding/gob"
	"fmt"
	"io"
	"sync"

	"beamhelm/drive/step"
)

// register makes every command known to gob, which needs that for what an interface holds.
var register = sync.OnceFunc(func() {
	for _, m := range step.Commands() {
		gob.Register(m)
	}
})

// Record is what it takes to replay the minute before a trip: the
// configuration, the state at its beginning and the inputs of every step since.
type Record struct {
	Config step.Config
	State  step.State
	Inputs []step.Inputs
}

// Replay makes the recorded steps again and returns the state after the last.
func (r *Record) Replay() step.State {
	state := r.State
	for i := range r.Inputs {
		step.Step(&r.Config, &state, &r.Inputs[i])
	}
	return state
}

// Write writes the record.
func (r *Record) Write(w io.Writer) error {
	register()
	if err := gob.NewEncoder(w).Encode(r); err != nil {
		return fmt.Errorf("writing a trip record: %w", err)
	}
	return nil
}

// ReadRecord reads what Write wrote.
func ReadRecord(from io.Reader) (*Record, error) {
	register()
	var r Record
	if err := gob.NewDecoder(from).Decode(&r); err != nil {
		return nil, fmt.Errorf("reading a trip record: %w", err)
	}
	return &r, nil
}

// recorder keeps two overlapping records, so that the older one always covers
// the last minute.
type recorder struct {
	config       step.Config
	older, newer Record
	kept         *Record // of the newest trip
	locked       bool
}

// recordFor is the least time that a record covers.
const recordFor = 60e9

func (r *recorder) begin(c step.Config) { r.config = c }

// restart begins again with another configuration; the record of a trip is kept.
func (r *recorder) restart(c step.Config) { *r = recorder{config: c, kept: r.kept, locked: r.locked} }

// record takes the inputs of the step to come.
func (l *Loop) record(in *step.Inputs) {
	r := &l.recorder
	l.mu.Lock()
	defer l.mu.Unlock()
	if n := len(r.newer.Inputs); n == 0 || in.Now-r.newer.Inputs[0].Now > recordFor {
		r.older, r.newer = r.newer, Record{Config: r.config, State: l.state}
	}
	if r.older.Config.Tick != 0 {
		r.older.Inputs = append(r.older.Inputs, *in)
	}
	r.newer.Inputs = append(r.newer.Inputs, *in)
}

// freeze keeps the record of a step that tripped. It must come before the trip
// is published: whoever is told of it may ask for its record at once.
func (l *Loop) freeze() {
	r := &l.recorder
	locked := l.state.Lock.Locked
	if locked == r.locked {
		return
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	r.locked = locked
	if locked {
		kept := r.current()
		r.kept = &kept
	}
}

// current is the longer of the two records, copied.
func (r *recorder) current() Record {
	from := &r.older
	if from.Config.Tick == 0 {
		from = &r.newer
	}
	return Record{from.Config, from.State, append([]step.Inputs(nil), from.Inputs...)}
}

// newest is the record of the newest trip, or that of now.
func (r *recorder) newest() Record {
	if r.kept != nil {
		return *r.kept
	}
	return r.current()
}
