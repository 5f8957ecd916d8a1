package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"log/slog"
	"path/filepath"
	"reflect"
	"runtime"
	"strings"
	"sync"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm"
	"beamhelm/app/crashfile"
	"beamhelm/app/desk"
	"beamhelm/app/logfile"
	"beamhelm/app/view"
	"beamhelm/ending"
)

const (
	// logLookEvery is how often what is logged is looked at.
	logLookEvery = 200 * time.Millisecond
	// logEvery is how often the quality of the link is logged, and how often at most a trouble that comes and goes.
	logEvery = time.Minute
	// sameOrder is for how long the same kind of order is not logged again: a jog is renewed all the time.
	sameOrder = time.Second
	// flushWithin is how long the end waits for the log.
	flushWithin = 50 * time.Millisecond
)

// openLog begins the log in the folder of what is kept. Lines wait until run lets them be written.
func (p *session) openLog() {
	p.logFile = logfile.New(filepath.Join(p.store.Folder, logfile.Name))
	p.log = p.logFile.Logger()
	text := p.settings.Text()
	sum := sha256.Sum256(text)
	p.log.Info("start", "version", beamhelm.Metadata().Version, "go", runtime.Version(), "system",
		runtime.GOOS+"/"+runtime.GOARCH,
		"processors", runtime.NumCPU(), "settings", p.source.Path, "practice", p.source.Practice, "settings_sha256",
		hex.EncodeToString(sum[:8]))
}

// keepCrash has the runtime keep what it says when it ends the program at once, and tells what it said before.
func (p *session) keepCrash() {
	var err error
	if p.crashed, err = crashfile.Open(p.store.Folder); err != nil {
		p.tell(fmt.Errorf("what is said at a crash can't be kept: %w", err))
	}
	if p.crashed != "" {
		p.tell(fmt.Errorf("the session before: %s (%s%s)", p.crashed, crashfile.Name, crashfile.Older))
	}
}

// runLog lets the log be written, which is ended last, and watches until the context ends what goes into it.
func (p *session) runLog(rest context.Context) {
	ctx, end := context.WithCancel(context.Background())
	p.endLog = end
	ending.Go("log", func() { p.logFile.Run(ctx) })
	p.rest.Go("log watch", func() { p.watch(rest) })
}

// watch logs what changes at the desk and beside it until the context ends.
func (p *session) watch(ctx context.Context) {
	w := newWatcher(p.log)
	ticker := time.NewTicker(logLookEvery)
	defer ticker.Stop()
	for {
		ending.Here("log watch")
		now := time.Now()
		w.look(now, p.desk.Status(), p.desk)
		for _, c := range p.beside() {
			w.trouble(c.Key, c.Words.String())
		}
		w.trouble("records", p.records.Trouble())
		w.trouble("line", p.port.Status().Trouble)
		if p.camera != nil {
			w.trouble("camera", p.camera.Trouble())
		}
		if p.time != nil {
			w.trouble("time source", p.time.Trouble())
		}
		w.tell(now)
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
		}
	}
}

// events are what a desk tells.
type events interface {
	EventsSince(number uint64, into []desk.Event) []desk.Event
}

// watcher logs what is new since it last looked. It belongs to one goroutine.
type watcher struct {
	log      *slog.Logger
	sparing  *logfile.Sparing
	last     *desk.Status // nil before the first
	event    uint64
	buffer   []desk.Event
	troubles map[string]string
	linkAt   time.Time
}

func newWatcher(log *slog.Logger) *watcher {
	return &watcher{log: log, sparing: logfile.NewSparing(log, logEvery), troubles: map[string]string{}}
}

// look logs changes of mode, lock-out and link, the link's quality once a minute, and all events.
func (w *watcher) look(now time.Time, s *desk.Status, d events) {
	last := w.last
	if w.last = s; last == nil {
		last = &desk.Status{}
		w.linkAt = now
		w.log.Info("mode", "is", s.Activity.String())
	}
	if s.Activity != last.Activity {
		w.log.Info("mode", "is", s.Activity.String(), "was", last.Activity.String(), "target", s.Target.Name)
	}
	switch {
	case s.Lock.Locked && !last.Lock.Locked:
		w.log.Warn("locked out", "cause", s.Lock.Cause)
	case !s.Lock.Locked && last.Lock.Locked:
		w.log.Info("released")
	}
	if s.Link.State != last.Link.State {
		level := slog.LevelWarn
		if s.Link.State == desk.LinkGood {
			level = slog.LevelInfo
		}
		w.log.Log(context.Background(), level, "link", "is", s.Link.State.String(), "was", last.Link.State.String(),
			"words",
			s.Link.Words)
	}
	if now.Sub(w.linkAt) >= logEvery {
		w.linkAt = now
		w.log.Info("minute", "link", s.Link.State.String(), "exchanges_per_s", s.Link.PerSecond, "link_errors",
			s.Link.Errors,
			"link_errors_keyed", s.Link.ErrorsKeyed, "ticks", s.Lateness.Ticks, "tick_late_p50_ms", s.Lateness.P50,
			"tick_late_p99_ms", s.Lateness.P99, "tick_late_p999_ms", s.Lateness.P999)
	}
	w.buffer = d.EventsSince(w.event, w.buffer[:0])
	for _, e := range w.buffer {
		w.event = e.Number
		w.log.Log(context.Background(), levelOf(e.Grade), "event", "words", e.Words)
	}
}

func levelOf(g desk.Grade) slog.Level {
	switch g {
	case desk.Warning:
		return slog.LevelWarn
	case desk.AlarmGrade:
		return slog.LevelError
	}
	return slog.LevelInfo
}

// trouble notes that something is in trouble now, or that it is not.
func (w *watcher) trouble(key, words string) { w.troubles[key] = words }

// tell logs the troubles that have changed; what was not noted since is over.
func (w *watcher) tell(now time.Time) {
	for key, words := range w.troubles {
		w.sparing.Say(now, key, words)
		w.troubles[key] = ""
	}
}

// loggedDesk is the desk as window and stop line have it: what is ordered is logged.
type loggedDesk struct {
	view.Desk
	log *slog.Logger

	mu   sync.Mutex
	last reflect.Type
	at   time.Time
}

// Ask implements view.Desk.
func (d *loggedDesk) Ask(o desk.Order) {
	d.Desk.Ask(o)
	kind := reflect.TypeOf(o)
	d.mu.Lock()
	same := kind == d.last && time.Since(d.at) < sameOrder
	d.last, d.at = kind, time.Now()
	d.mu.Unlock()
	if same {
		return
	}
	d.log.Info("order", append([]any{"kind", kind.Name()}, fields("", reflect.ValueOf(o))...)...)
}

// fields are the names and values of what an order holds, angles in degrees.
func fields(name string, v reflect.Value) (all []any) {
	switch {
	case v.Type() == reflect.TypeFor[unit.Angle]():
		return []any{name + "_deg", unit.Angle(v.Float()).Deg()}
	case v.Kind() != reflect.Struct || v.Type() == reflect.TypeFor[time.Time]():
		return []any{name, fmt.Sprint(v)}
	case name != "":
		name += "_"
	}
	for i := range v.NumField() {
		all = append(all, fields(name+strings.ToLower(v.Type().Field(i).Name), v.Field(i))...)
	}
	return all
}
