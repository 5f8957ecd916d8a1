package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"path/filepath"
	"reflect"
	"strings"
	"sync/atomic"
	"time"

	"beamhelm"
	"beamhelm/app/alarm"
	"beamhelm/app/audio"
	"beamhelm/app/awake"
	"beamhelm/app/camera"
	"beamhelm/app/desk"
	"beamhelm/app/desk/station"
	"beamhelm/app/echorun"
	"beamhelm/app/journal"
	"beamhelm/app/lastsession"
	"beamhelm/app/logfile"
	"beamhelm/app/memory"
	"beamhelm/app/noisemeter"
	"beamhelm/app/panel"
	"beamhelm/app/practice"
	"beamhelm/app/printable"
	"beamhelm/app/publish"
	"beamhelm/app/serialline"
	"beamhelm/app/settings"
	"beamhelm/app/settings/kept"
	"beamhelm/app/sound"
	"beamhelm/app/stopline"
	"beamhelm/app/timesource"
	"beamhelm/app/transceiver"
	"beamhelm/assets"
	"beamhelm/clock"
	"beamhelm/drive"
	"beamhelm/drive/link"
	"beamhelm/drive/meter"
	"beamhelm/drive/step"
	"beamhelm/ending"
	"beamhelm/ephem"
	"beamhelm/ephem/catalogue"
	"beamhelm/ephem/noise"
)

// session is everything that runs beside the window. It ends in the order in
// which motion ends: first the loop, then the line, then what may wait for a disk.
type session struct {
	desk    *desk.Runner
	loop    *drive.Loop
	port    *link.Port
	dish    *practice.Served // in practice
	records *journal.Journal
	past    *recordsReader
	publish *publish.Publisher
	time    *timesource.Source       // nil where none is set
	meter   *meter.Meter             // nil where the enclosure's detector measures
	audio   *audio.Receiver          // of the receiver
	tones   *audio.Output            // to the transmitter; nil where none is chosen
	echoes  *echorun.Station         // nil without it
	sound   *sound.Sounder           // nil where it is off
	camera  *camera.Camera           // nil where there is none
	radio   *transceiver.Transceiver // nil where none is spoken to
	now     desk.Clock
	store   kept.Store
	lock    *kept.Lock          // of the dish; nil in practice
	keeper  *lastsession.Keeper // nil in practice
	left    lastsession.Left    // by the last session
	crashed string              // in the last session: what the runtime told
	leftOut []alarm.Condition   // what the settings ask for beside the dish, and can't be had
	// stopline takes the one order from outside.
	stopline *stopline.Line
	stderr   io.Writer
	logFile  *logfile.File
	log      *slog.Logger
	orders   *loggedDesk

	seed uint64 // of practice
	// clockAhead is by how many nanoseconds the simulated computer's clock was set forward.
	clockAhead atomic.Int64
	skyTime    *practice.Time // nil but in practice
	sky        *ephem.Sky
	settings   settings.Settings // in force, from the source
	source     settings.Source
	restart    atomic.Bool // open again after the end
	// toPractice says that it opens again with the simulated dish.
	toPractice atomic.Bool
	close      func() // closes the window

	operator atomic.Pointer[string]     // the name last given with a note
	look     atomic.Pointer[panel.Look] // how the window is set

	written map[string]string // what was last kept, by name
	failing map[string]bool

	loopDone, rest ending.Group
	endLoop        context.CancelFunc
	endPort        context.CancelFunc
	endRest        context.CancelFunc
	endLog         context.CancelFunc

	loopEnded, portEnded chan struct{}
	ended                chan struct{} // everything has ended in its order
}

// begin reads the settings and puts everything together. Nothing moves yet.
func begin(o options, stderr io.Writer) (*session, error) {
	s, source, err := load(o)
	if err != nil {
		return nil, err
	}
	switch {
	case !source.Practice && o.fromGiven:
		return nil, errors.New("-from is for practice only: a real dish has the real time")
	case !source.Practice && o.demonstrate > 0:
		return nil, errors.New("-demonstrate moves the dish without an operator: it is for practice only")
	}
	sky, err := ephem.New(assets.Ephemeris(), station.SkyConfig(s.Clock))
	if err != nil {
		return nil, err
	}
	sources, err := catalogue.Parse(assets.Sources())
	if err != nil {
		return nil, err
	}
	config, err := station.NewConfig(s, sky, sources, source.Practice)
	if err != nil {
		return nil, err
	}
	if config.Galaxy, err = noise.ParseSky(assets.Sky408()); err != nil {
		return nil, err
	}
	p := &session{seed: o.seed, sky: sky, settings: s, source: source, close: func() {}, stderr: stderr,
		written: map[string]string{},
		failing: map[string]bool{}, log: slog.New(slog.DiscardHandler)}
	if p.store, err = kept.UsualStore(source); err != nil {
		return nil, err
	}
	if err := p.lockDish(); err != nil {
		return nil, err
	}
	p.openLog()
	p.keepCrash()
	memory := p.remember()
	began := time.Now()
	now := p.skyClock(o, began)
	at, _ := now()
	open, name := notAfterOthers(serial(s.Link), p.heard, p.distrust), s.Link.Port
	if source.Practice {
		if err := p.practise(s, sky, o); err != nil {
			return nil, err
		}
		open, name = p.dish.Open, "simulated dish"
		p.invent(&memory, at)
	}
	p.past = &recordsReader{path: recordsPath(p.store.Folder, source.Practice, began)}
	p.records, err = journal.New(journal.Config{
		Path: p.past.path, Station: s.Station.Name,
		Version: beamhelm.Metadata().Version, Practice: source.Practice, Began: at,
	})
	if err != nil {
		return nil, err
	}
	p.records.Settings(at, "The settings in force", string(s.Shareable().Text()))
	return p, p.join(config, memory, open, name, now, began)
}

// invent puts into the memory of a session of practice what its dish and its operator would know at its beginning.
func (p *session) invent(memory *desk.Kept, at time.Time) {
	memory.References = p.dish.References()
	if reflect.ValueOf(memory.Radio).IsZero() {
		memory.Radio.Partners = practice.Partners()
	}
	memory.Receiver.Reports = append(memory.Receiver.Reports, practice.SolarFlux(at))
}

// recordsPath is the file of records: each session of practice has its own.
func recordsPath(folder string, practises bool, began time.Time) string {
	if practises {
		return journal.PracticePath(folder, began)
	}
	return filepath.Join(folder, journal.FileName)
}

// serial is the port of the settings.
func serial(l settings.Link) link.Opener {
	line, _ := serialline.FromSettings(l) // the settings have no other parity
	return link.Serial(line)
}

// skyClock makes what tells the session the time.
func (p *session) skyClock(o options, began time.Time) desk.Clock {
	if p.source.Practice {
		p.skyTime = practice.NewTime(o.from, func() time.Duration { return time.Since(began) })
	}
	return skyClock(p.skyTime, began, &p.clockAhead)
}

// skyClock tells the time of the sky and the loop's: in practice, where there is a sky's time, that
// and what the computer's clock is set ahead.
func skyClock(sky *practice.Time, began time.Time, ahead *atomic.Int64) desk.Clock {
	return func() (time.Time, step.Nanos) {
		now := time.Since(began)
		if sky != nil {
			return sky.At(now).Add(time.Duration(ahead.Load())), now
		}
		return clock.Now().UTC(), now
	}
}

func (p *session) practise(s settings.Settings, sky *ephem.Sky, o options) error {
	dish, err := practice.New(s, sky, practice.Config{From: o.from, Seed: o.seed, Now: p.skyTime.Now})
	if err != nil {
		return err
	}
	p.dish, err = dish.Serve(s.Link.Baud)
	return err
}

// join puts line, loop and desk together.
func (p *session) join(config desk.Config, memory desk.Kept, open link.Opener, name string, now desk.Clock,
	began time.Time) error {
	var err error
	if p.port, err = link.NewPort(open, began, serialline.Master(config.Settings.Link)); err != nil {
		return err
	}
	p.loop, err = drive.New(p.port, drive.Config{Step: config.Drive, Kept: p.handedOn(memory), Began: began,
		Wall: func() time.Time { return clock.Now().Add(time.Duration(p.clockAhead.Load())) }})
	if err != nil {
		return err
	}
	trouble := func() desk.Line {
		status := p.port.Status()
		return desk.Line{Trouble: status.Trouble, Errors: status.Quiet.Errors() + status.Keyed.Errors(),
			Keyed: status.Keyed.Errors(), Split: status.WithoutReadWrite, Refused: status.Refused}
	}
	p.stopline = stopline.New(p.stop)
	runner := desk.RunnerConfig{Kept: memory, Port: name, Line: trouble, Records: p.records.Trouble, Beside: p.beside}
	if p.time = timesource.FromSettings(config.Settings.Clock); p.time != nil {
		runner.Time = p.time
	}
	sounds := p.soundSystem()
	p.audio = audio.NewReceiver(sounds, config.Settings.Audio.Input)
	if p.meter, err = noisemeter.FromSettings(config.Settings, p.audio); err != nil {
		p.leaveOut("meter", "No noise meter", err)
	} else if p.meter != nil {
		runner.Meter = p.meter
	}
	if p.skyTime != nil {
		runner.SkyTime = p.skyTime
	}
	p.openRadio(&runner, config.Settings.Radio, now)
	p.openEchoes(&runner, sounds)
	p.desk = desk.NewRunner(config, p.loop, now, runner)
	p.orders = &loggedDesk{Desk: p.desk, log: p.log}
	p.sound = sound.FromSettings(p.desk, config.Settings.Sound)
	if p.camera, err = camera.FromSettings(config.Settings.Camera); err != nil {
		p.leaveOut("camera", "No camera", err)
	}
	if p.publish, err = publish.New(p.desk, publish.FromSettings(config.Settings.Publish,
		beamhelm.Metadata().Version)); err != nil {
		p.leaveOut("publish", "Nothing is published", err)
	}
	return nil
}

// run lets everything run beside the window. From then on signals and panics
// end the program by way of halt.
func (p *session) run() {
	loop, endLoop := context.WithCancel(context.Background())
	port, endPort := context.WithCancel(context.Background())
	rest, endRest := context.WithCancel(context.Background())
	p.endLoop, p.endPort, p.endRest = endLoop, endPort, endRest
	p.loopEnded, p.portEnded, p.ended = make(chan struct{}), make(chan struct{}), make(chan struct{})
	p.leaveBy()
	p.runLog(rest)
	if p.dish != nil {
		p.rest.Go("simulated dish", func() { p.tell(p.dish.Run(rest)) })
	}
	p.rest.Go("line", func() {
		err := p.port.Run(port)
		close(p.portEnded) // before it is told: nobody may read
		p.tell(err)
	})
	p.loopDone.Go("loop", func() {
		err := p.loop.Run(loop)
		close(p.loopEnded)
		p.tell(err)
	})
	p.loopDone.Go("desk", func() { p.desk.Run(loop) })
	p.loopDone.Go("keeping", func() { p.keep(loop) })
	if p.keeper != nil {
		p.loopDone.Go("keeper", func() { p.keeper.Run(loop, p.loop.Status) })
	}
	p.rest.Go("records", func() { p.records.Run(rest) })
	p.rest.Go("memory", func() { memory.Run(rest) })
	p.rest.Go("keeping awake", func() { awake.Run(rest, p.desk) })
	if p.publish != nil {
		p.rest.Go("publishing", func() { p.publish.Run(rest) })
	}
	if p.time != nil {
		p.rest.Go("time source", func() { p.time.Run(rest) })
	}
	p.rest.Go("receiver audio", func() { p.audio.Run(rest) })
	p.runEchoes(loop, rest)
	if p.meter != nil {
		p.rest.Go("noise meter", func() { p.meter.Run(rest) })
	}
	if p.radio != nil {
		p.rest.Go("radio", func() { p.radio.Run(rest) })
	}
	if p.sound != nil {
		p.rest.Go("sound", func() { p.sound.Run(rest) })
	}
	if p.camera != nil {
		p.rest.Go("camera", func() { p.camera.Run(rest) })
	}
	p.loopDone.Go("recording", func() { p.records.Follow(loop, p.desk, p.tripRecord) })
	p.loopDone.Go("stop line", func() { p.stopline.Run(loop) })
}

// tripRecord writes what it takes to replay the newest trip.
func (p *session) tripRecord(w io.Writer) error {
	record := p.loop.TripRecord()
	return record.Write(w)
}

func (p *session) tell(err error) {
	if err == nil {
		return
	}
	p.log.Warn("told", "error", err)
	for line := range strings.Lines(err.Error()) {
		fmt.Fprintf(p.stderr, "beamhelm: %s\n", printable.Words(strings.TrimSpace(line)))
	}
}
