package measuring

import (
	"math"
	"slices"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/watching"
	"beamhelm/app/message"
)

// quietLine compares the level where the dish holds with that of cold sky before.
func (w *work) quietLine() watching.CheckLine {
	n := w.noise()
	here := pointing.AxesOf(w.in.Loop)
	why := message.Message{}
	switch {
	case !n.Fitted:
		why = message.Of("check.no-meter")
	case !n.Clean || math.IsNaN(n.LevelDB):
		why = message.Of("check.no-level")
	case here.El < degrees(15):
		why = message.Of("check.beam-low")
	case w.c.NearSunOrMoon(directionOf(here), degrees(fromSunMoon), w.in.At):
		why = message.Of("check.near-sun-or-moon")
	}
	if why.Code != "" {
		return watching.CheckLine{What: "Cold sky", Words: message.Of("check.not-compared", why)}
	}
	band, feed := w.c.Names(w.in.Band, w.in.Feed)
	cold := watching.Cold{Band: band, Feed: feed, El: here.El, LevelDB: n.LevelDB}
	line := w.in.Watch.ColdLine(cold)
	w.ask(NoteCold{cold})
	return line
}

// sunUsual is by how much Sun noise may differ from that of before: the Sun's
// own flux changes by a dB over weeks.
const sunUsual = 1.5 // dB

// sunLine compares the Sun's Y factor with those of before.
func (w *work) sunLine(now *ReceiverResult) watching.CheckLine {
	l := watching.CheckLine{What: "Sun noise"}
	var before []float64
	for _, r := range w.s.Receiver.Results {
		if r.Band == now.Band && r.Feed == now.Feed && r.Target == now.Target && r.Why.Code == "" &&
			!r.At.Equal(now.At) {
			before = append(before, r.Figures.YDB)
		}
	}
	if len(before) == 0 {
		l.Words = message.Of("check.sun-alone", now.Figures.YDB)
		return l
	}
	slices.Sort(before)
	usual := before[len(before)/2]
	l.Words = message.Of("check.sun", now.Figures.YDB, usual)
	if now.Figures.YDB < usual-sunUsual {
		l.Grade = alarm.Warning
	}
	return l
}
