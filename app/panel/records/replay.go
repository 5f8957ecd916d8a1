package records

import (
	"fmt"
	"math"
	"sort"
	"time"

	"fyne.io/fyne/v2"
	"github.com/soniakeys/unit"

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
)

// replay shows where the dish was around a trip, on panorama and lanes, at any
// speed. It ends by itself as soon as the dish moves: then what is now matters.
type replay struct {
	say    func(string)
	row    *fyne.Container
	pause  *widget.Button
	speed  *widget.Button
	at     *widget.Text
	places []journal.Place
	cause  string
	moment time.Time
	factor float64
	paused bool
	on     bool
}

// factors are the speeds to choose from.
func factors() []float64 { return []float64{0.25, 1, 4, 16} }

func newReplay(say func(string)) *replay {
	r := &replay{say: say, factor: 1, at: widget.NewText("").Small().Elastic().Named("records-replay-at")}
	small := func(words, name, tip string, act func()) *widget.Button {
		return widget.NewButton(words, name, tip, act).Tight().Sized(widget.SmallText)
	}
	r.pause = small("Pause", "records-replay-pause", "Pause here, or go on", func() {
		if r.paused = !r.paused; r.moment.After(r.end()) {
			r.moment, r.paused = r.places[0].At, false
		}
	}).Reserve("Go on")
	r.speed = small("1 ×", "records-replay-speed", "How fast: a quarter, real, 4 and 16 times",
		r.faster).Reserve("0.25 ×")
	step := func(words, name, tip string, by time.Duration) *widget.Button {
		return small(words, name, tip, func() {
			r.paused = true
			r.moment = r.within(r.moment.Add(by))
		})
	}
	close := small("End replay", "records-replay-end", "Back to live", func() { r.over("") })
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

func (r *replay) end() time.Time { return r.places[len(r.places)-1].At }

func (r *replay) within(at time.Time) time.Time {
	if at.Before(r.places[0].At) {
		return r.places[0].At
	}
	if at.After(r.end()) {
		return r.end()
	}
	return at
}

// begin looks up where the dish was around a trip, and replays it.
func (p *Pane) begin(trip journal.Entry) {
	if p.source == nil || p.now.Status == nil {
		return
	}
	if p.now.Moving {
		p.told.SetWords("No replay while the dish moves")
		return
	}
	source := p.source
	offwindow.Do(&p.replayJob, askWithin, func(ctx offwindow.Context) ([]journal.Place, error) {
		return source.Places(ctx, trip.At.Add(-replayBefore), trip.At.Add(replayAfter), maxPlaces)
	}, func(places []journal.Place, err error) {
		switch {
		case err != nil:
			p.told.SetWords("Can't look back now: " + err.Error())
		case len(places) == 0:
			p.told.SetWords("Nothing is kept of where the dish was then: places are kept while it moves, for a week")
		default:
			p.replay.start(places, trip)
		}
	})
}

func (r *replay) start(places []journal.Place, trip journal.Entry) {
	r.places, r.cause, r.moment = places, trip.Words, places[0].At
	r.on, r.paused = true, false
	r.row.Show()
	r.say("Replay of " + view.HourMinute(trip.At) + ": " + trip.Words)
}

// over ends the replay and says why.
func (r *replay) over(why string) {
	if !r.on {
		return
	}
	r.on, r.places = false, nil
	r.row.Hide()
	r.say(why)
}

// Past is what panorama and lanes show in place of now while a trip is
// replayed; ok is false while none is. It is called once a tick.
func (p *Pane) Past(now view.Now) (past view.Now, ok bool) {
	r := p.replay
	if !r.on {
		return now, false
	}
	if now.Moving {
		r.over("The replay has ended: the dish moves")
		return now, false
	}
	if !r.paused {
		if r.moment = r.moment.Add(time.Duration(r.factor * float64(100*time.Millisecond))); r.moment.After(r.end()) {
			r.moment, r.paused = r.end(), true
		}
	}
	words := "Pause"
	if r.paused {
		words = "Go on"
	}
	r.pause.Set(words, widget.Quiet)
	place := r.placeAt(r.moment)
	r.at.SetWords(placeWords(place))
	return then(now, place, r.moment), true
}

// placeWords says what the dish did, and how far it was from where it was commanded.
func placeWords(place journal.Place) string {
	if math.IsNaN(place.OffDeg) {
		return view.Sentence(place.Activity)
	}
	return fmt.Sprintf("%s, error %s°", view.Sentence(place.Activity), view.Number(place.OffDeg, 2))
}

// placeAt is where the dish was at a moment, between two records.
func (r *replay) placeAt(at time.Time) journal.Place {
	i := sort.Search(len(r.places), func(i int) bool { return r.places[i].At.After(at) })
	if i == 0 {
		return r.places[0]
	}
	a := r.places[i-1]
	if i == len(r.places) || r.places[i].At.Sub(a.At) > time.Second {
		return a
	}
	b := r.places[i]
	part := at.Sub(a.At).Seconds() / b.At.Sub(a.At).Seconds()
	for _, f := range [][2]*float64{{&a.AzPositionDeg, &b.AzPositionDeg}, {&a.ElPositionDeg, &b.ElPositionDeg},
		{&a.AzSetpointDeg, &b.AzSetpointDeg}, {&a.ElSetpointDeg, &b.ElSetpointDeg}, {&a.OffDeg, &b.OffDeg}} {
		*f[0] += (*f[1] - *f[0]) * part
	}
	return a
}

// then is a status that shows where the dish was; what is not recorded of then is left out.
func then(now view.Now, place journal.Place, at time.Time) view.Now {
	s := *now.Status
	s.At, s.Moving, s.Bodies, s.Target, s.Then = at, true, nil, desk.Target{}, nil
	for i, f := range [2]struct{ position, setpoint, drive float64 }{
		{place.AzPositionDeg, place.AzSetpointDeg, place.AzDrivePercent},
		{place.ElPositionDeg, place.ElSetpointDeg, place.ElDrivePercent},
	} {
		a := &s.Axes[i]
		if !math.IsNaN(f.position) {
			a.Position, a.Trusted = unit.AngleFromDeg(f.position), true
		}
		a.Estimated, a.RatePerS, a.Moving, a.EndLow, a.EndHigh = false, 0, f.drive != 0, false, false
		a.CurrentA = math.NaN()
		if a.HasSetpoint = !math.IsNaN(f.setpoint); a.HasSetpoint {
			a.Setpoint = unit.AngleFromDeg(f.setpoint)
		}
		a.Applied = f.drive / 100
	}
	s.Off = unit.AngleFromDeg(place.OffDeg)
	past := now
	past.Status, past.Live = &s, false
	past.Replay = "REPLAY, not live: " + at.UTC().Format("15:04:05 on 2 Jan")
	return past
}
