// Package journal keeps what happens at the dish in a file: readings,
// positions while moving, events, alarms, trips with all it takes to replay
// them, results and notes. It is an SQLite file in the folder of what is kept,
// readable with any SQLite program; schema.go says what is in it.
//
// Nobody waits for the disk: what is handed to a Journal goes into a bounded
// queue, and one writer takes it from there. Where the disk is full, locked or
// read only, what doesn't fit the queue is lost and counted, Trouble says so,
// and recording resumes when it can. A damaged file is set aside, never removed.
package journal

import (
	"context"
	"fmt"
	"path/filepath"
	"sync"
	"time"

	"beamhelm/app/desk"
	"beamhelm/ending"
)

// FileName is the name of the file in the folder of what is kept.
const FileName = "records.db"

// Config says where and for whom records are kept.
type Config struct {
	// Path of the file; it and its folder are made when missing.
	Path string
	// Station and Practice are kept with the session, as is Version, that of the program.
	Station, Version string
	Practice         bool
	// Began is the time of the sky when the session began.
	Began time.Time
}

// Validate says what is wrong with a configuration.
func (c Config) Validate() error {
	switch {
	case !filepath.IsAbs(c.Path):
		return fmt.Errorf("records: path %q: a whole path is needed", c.Path)
	case c.Began.IsZero():
		return fmt.Errorf("records: the time at which the session began is missing")
	}
	return nil
}

// The most that waits for the disk: of figures about a quarter of an hour of
// steady motion, of words four bursts of a thousand.
const (
	maxFigures = 8192
	maxWords   = 4096
)

// motionEvery is how often a moving dish's place is kept.
const motionEvery = 200 * time.Millisecond

// motionAfter is how long after moving the place is still kept.
const motionAfter = 2 * time.Second

// Journal takes what is to be recorded. Its methods may be called from any
// goroutine; apart from Run and Follow they never wait.
type Journal struct {
	config Config

	mu      sync.Mutex
	figures queue // readings and places
	words   queue // everything else
	second  int64
	placeAt time.Time
	moved   time.Time
	alarms  map[int]alarmRow

	trouble trouble
}

// New returns a journal. It opens nothing: Run does.
func New(c Config) (*Journal, error) {
	if err := c.Validate(); err != nil {
		return nil, err
	}
	return &Journal{config: c, figures: queue{maximum: maxFigures}, words: queue{maximum: maxWords},
		alarms: map[int]alarmRow{}}, nil
}

// Take records what a status holds: readings once a second, places while
// moving, changes of alarms. It may be called as often as there are statuses.
func (j *Journal) Take(s *desk.Status) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if second := s.At.Unix(); second != j.second {
		j.second = second
		j.figures.push(readingRow{second, valuesOf(s)})
	}
	if s.Moving {
		j.moved = s.At
	}
	since := s.At.Sub(j.moved)
	if moving := since >= 0 && since <= motionAfter; moving && absolute(s.At.Sub(j.placeAt)) >= motionEvery {
		j.placeAt = s.At
		j.figures.push(placeOf(s))
	}
	for _, row := range changedAlarms(j.alarms, s) {
		j.words.push(row)
	}
}

func absolute(d time.Duration) time.Duration { return max(d, -d) }

// Event records an event under its number.
func (j *Journal) Event(e desk.Event) { j.say(eventRow{e}) }

// Trip is a lock-out with what it takes to replay it.
type Trip struct {
	At time.Time
	// Stopped: it is no trip, the operator stopped the dish, in this session or the one before.
	Stopped bool
	// Cause is the first cause, Next what the operator was told to do.
	Cause, Next string
	// Record is what drive.Record.Write wrote: configuration, state and the inputs of the last minute.
	Record []byte
}

// Trip records a lock-out.
func (j *Journal) Trip(t Trip) { j.say(tripRow{t}) }

// Note is what the operator wants to keep of a moment.
type Note struct {
	At time.Time
	// AzDeg and ElDeg are where the beam was; NaN where not known.
	AzDeg, ElDeg float64
	Target       string
	// DopplerHz is that of our own echo, NoiseDB above cold sky; NaN where there is none.
	DopplerHz, NoiseDB      float64
	Band, Partner, Operator string
	Words                   string
}

// Note records a note.
func (j *Journal) Note(n Note) { j.say(noteRow{n}) }

// ResultKind is the kind of a result.
type ResultKind string

const (
	PeakResult     ResultKind = "peak"     // of a search for the most noise
	SurveyResult   ResultKind = "survey"   // of many peaks over the sky
	ReceiverResult ResultKind = "receiver" // Y factor, G/T and the like
	EchoResult     ResultKind = "own echo" // the station's own echoes
	DipResult      ResultKind = "sky dip"  // level against elevation
	NightResult    ResultKind = "night"    // the check at the start of a night
)

// Result is the outcome of a piece of work.
type Result struct {
	At    time.Time
	Kind  ResultKind
	Words string // in one line
	// Detail holds its figures, as JSON.
	Detail []byte
}

// Result records a result.
func (j *Journal) Result(r Result) { j.say(resultRow{r}) }

// Settings records the settings in force, as the text of their file; words say
// what was changed. The same text again is not kept twice.
func (j *Journal) Settings(at time.Time, words, text string) { j.say(settingsRow{at, words, text}) }

func (j *Journal) say(e entry) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.words.push(e)
}

// Trouble says in one line why records are not kept as they should be; empty
// when they are.
func (j *Journal) Trouble() string { return j.trouble.words() }

// Dropped is the number of rows lost so far because the queue was full.
func (j *Journal) Dropped() uint64 {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.figures.dropped + j.words.dropped
}

// writeEvery is how often what waits is brought to the file.
const writeEvery = 500 * time.Millisecond

// Run opens the file and writes until the context ends; then it writes what
// still waits and closes the file. Trouble is told by Trouble, never returned.
func (j *Journal) Run(ctx context.Context) {
	w := newWriter(j)
	ticker := time.NewTicker(writeEvery)
	defer ticker.Stop()
	for {
		ending.Here("records")
		w.step(time.Now())
		select {
		case <-ctx.Done():
			w.close()
			return
		case <-ticker.C:
		}
	}
}

// queue holds entries that wait for the disk.
type queue struct {
	maximum int
	waiting []entry
	dropped uint64
}

// push appends an entry, or counts it where there is no room.
func (q *queue) push(e entry) {
	if len(q.waiting) >= q.maximum {
		q.dropped++
		return
	}
	q.waiting = append(q.waiting, e)
}

// pushBack puts entries that could not be written before those that came since.
func (q *queue) pushBack(unwritten []entry) {
	all := append(unwritten, q.waiting...)
	if extra := len(all) - q.maximum; extra > 0 {
		q.dropped += uint64(extra)
		all = all[:q.maximum]
	}
	q.waiting = all
}

func (q *queue) takeAll() []entry {
	all := q.waiting
	q.waiting = nil
	return all
}
