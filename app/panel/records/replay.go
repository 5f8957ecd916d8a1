package records

import (
	"fmt"
	"sort"
	"time"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/app/panel/offwindow"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// The time around a trip that is replayed, and how many places that may be.
const (
	replayBefore = time.Minute
	replayAfter  = 20 * time.Second
	maxPlaces    = 2000
	tickTime     = 100 * time.Millisecond
	// replayMargin is how much more the chart shows before and after.
	replayMargin = 10 * time.Second
	// keyStep is by how much an arrow key moves the moment.
	keyStep = time.Second
)

// replay shows the dish as it was around a trip, at any speed, in place of what is live. It ends by itself as soon as
// the dish moves or something happens: then what is now matters.
type replay struct {
	say    func(string)
	row    *fyne.Container
	pause  *widget.Button
	speed  *widget.Button
	at     *widget.Text
	past   past
	moment time.Time
	factor float64
	paused bool
	on     bool
	tick   uint64 // of the window, when the moment was last moved
	begun  standing
	scene  *desk.Scene // of now, of which still is made
	still  *desk.Scene
	before shownTime
}

// shownTime is what the chart shows.
type shownTime struct {
	span   time.Duration
	to     time.Time
	chosen bool
}

// factors are the speeds to choose from.
func factors() []float64 { return []float64{0.25, 1, 4, 16} }

// newReplay returns a replay that isn't on; end is asked to end it.
func newReplay(say func(string), end func()) *replay {
	r := &replay{say: say, factor: 1, at: widget.NewText("").Small().Elastic().Named("records-replay-at")}
	small := func(words, name, tip string, act func()) *widget.Button {
		return widget.NewButton(words, name, tip, act).Tight().Sized(widget.SmallText)
	}
	r.pause = small("Pause", "records-replay-pause", "Pause here, or go on", func() {
		if r.paused = !r.paused; !r.moment.Before(r.past.end()) {
			r.moment, r.paused = r.past.begin(), false
		}
	}).Reserve("Resume")
	r.speed = small("1 ×", "records-replay-speed", "How fast: a quarter, real, 4 and 16 times",
		r.faster).Reserve("0.25 ×")
	step := func(words, name, tip string, by time.Duration) *widget.Button {
		return small(words, name, tip, func() { r.to(r.moment.Add(by)) })
	}
	close := small("End replay", "records-replay-end", "Back to live (Esc)", end)
	r.row = widget.Row(4, widget.Sharing(r.at), widget.Fixed(
		step("− 1 s", "records-replay-back", "A second back", -time.Second)),
		widget.Fixed(step("+ 1 s", "records-replay-on", "A second on", time.Second)), widget.Fixed(r.speed),
		widget.Fixed(r.pause), widget.Fixed(close))
	r.row.Hide()
	return r
}

func (r *replay) faster() {
	all := factors()
	at := sort.SearchFloat64s(all, r.factor)
	r.factor = all[(at+1)%len(all)]
	r.speed.Set(fmt.Sprintf("%g ×", r.factor), widget.Quiet)
}

// to goes to a moment, or the nearest that is replayed, and stays there.
func (r *replay) to(moment time.Time) {
	r.paused, r.moment = true, r.past.within(moment)
}

// key moves the moment by a key, and says whether the key does so.
func (r *replay) key(name fyne.KeyName) bool {
	switch name {
	case fyne.KeyLeft:
		r.to(r.moment.Add(-keyStep))
	case fyne.KeyRight:
		r.to(r.moment.Add(keyStep))
	case fyne.KeyHome:
		r.to(r.past.begin())
	case fyne.KeyEnd:
		r.to(r.past.end())
	default:
		return false
	}
	return true
}

// move lets the moment run on with the window's ticks.
func (r *replay) move(tick uint64) {
	passed := time.Duration(tick-min(tick, r.tick)) * tickTime
	r.tick = tick
	if r.paused {
		return
	}
	if r.moment = r.moment.Add(time.Duration(r.factor * float64(passed))); !r.moment.Before(r.past.end()) {
		r.moment, r.paused = r.past.end(), true
	}
}

// begin looks up how the dish was around a trip, and replays it.
func (p *Pane) begin(trip journal.Entry) {
	if p.source == nil || p.now.Status == nil {
		return
	}
	if p.now.Moving {
		p.told.SetWords("No replay while the dish moves")
		return
	}
	source := p.source
	offwindow.Do(&p.replayJob, askWithin, func(ctx offwindow.Context) (past, error) {
		return lookBack(ctx, source, trip.At)
	}, func(found past, err error) {
		switch {
		case err != nil:
			p.told.SetWords("Can't look back now: " + err.Error())
		case len(found.places) == 0:
			p.told.SetWords("Nothing is kept of where the dish was then: places are kept while it moves, for a week")
		default:
			p.start(found, trip)
		}
	})
}

// start begins to replay, and shows its time on the chart.
func (p *Pane) start(found past, trip journal.Entry) {
	r := p.replay
	if !r.on {
		r.before = shownTime{p.span, p.to, p.chosen}
	}
	r.past, r.moment, r.tick = found, found.begin(), p.now.Tick
	r.begun, r.on, r.paused = standingNow(p.now), true, false
	r.row.Show()
	r.say("Replay of " + view.HourMinute(trip.At) + ": " + trip.Words)
	p.span, p.chosen = found.end().Sub(found.begin())+2*replayMargin, true
	p.show(found.end().Add(replayMargin))
	p.object.Refresh()
}

// Replaying says that the past is shown in place of now.
func (p *Pane) Replaying() bool { return p.replay.on }

// EndReplay ends a replay, if there is one, and goes back to the time that the chart showed before.
func (p *Pane) EndReplay() { p.over("") }

func (p *Pane) over(why string) {
	r := p.replay
	if !r.on {
		return
	}
	r.on, r.past, r.scene, r.still = false, past{}, nil, nil
	r.row.Hide()
	p.plot.mark()
	p.span, p.to, p.chosen = r.before.span, r.before.to, r.before.chosen
	p.ask()
	r.say(why)
	p.object.Refresh()
}

// GiveWay ends a replay by itself, and has the desk tell why among the events.
func (p *Pane) GiveWay(by desk.ReplayEnd) {
	if p.replay.on {
		p.over("The replay has ended: see the events")
		p.with.Desk.Ask(desk.ReplayEnded{By: by})
	}
}

// Past is what is shown in place of now while a trip is replayed, with what the dish did then; ok is false while none
// is. It is called once a tick.
func (p *Pane) Past(now view.Now) (past view.Now, did string, ok bool) {
	r := p.replay
	if !r.on {
		return now, "", false
	}
	if by, ends := r.begun.ends(now); ends {
		p.GiveWay(by)
		return now, "", false
	}
	r.move(now.Tick)
	words := "Pause"
	if r.paused {
		words = "Resume"
	}
	r.pause.Set(words, widget.Quiet)
	p.plot.mark()
	if r.scene != now.Scene {
		r.scene, r.still = now.Scene, withoutArcs(now.Scene)
	}
	place := r.past.placeAt(r.moment)
	did = view.ReplayDid(place.Activity, place.OffDeg)
	r.at.SetWords(did)
	return r.past.then(now, r.still, place, r.moment), did, true
}

// standing is what was wrong, or under way, when a replay began: what comes after ends it.
type standing struct {
	alarms map[int]desk.Grade
	locked bool
	pass   bool
}

func standingNow(now view.Now) standing {
	s := standing{alarms: map[int]desk.Grade{}, locked: now.Lock.Locked, pass: now.Armed.UnderWay}
	for _, a := range now.Alarms {
		if a.Stands && a.ShelvedUntil.IsZero() {
			s.alarms[a.Number] = a.Grade
		}
	}
	return s
}

// ends reports what ends the replay now, if anything. What has gone ends it when it comes again.
func (s *standing) ends(now view.Now) (by desk.ReplayEnd, ends bool) {
	before := *s
	*s = standingNow(now)
	switch {
	case now.Lock.Locked && !before.locked:
		return desk.ReplayByTrip, true
	case now.Armed.UnderWay && !before.pass:
		return desk.ReplayByPass, true
	case now.Moving || now.Starting.Code != "":
		return desk.ReplayByMotion, true
	}
	for number, grade := range s.alarms {
		if grade >= desk.AlarmGrade && before.alarms[number] < grade {
			return desk.ReplayByAlarm, true
		}
	}
	return 0, false
}
