package radio

import (
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/message"
	"beamhelm/app/settings"
	"beamhelm/ephem"
	"beamhelm/ephem/echo"
	"beamhelm/ephem/faraday"
	"beamhelm/ephem/noise"
)

// Faraday is what becomes of polarisation on the band in use.
type Faraday struct {
	// Matters: the frequency is low enough for the ionosphere to be told of. Linear: our feed is.
	Matters, Linear bool
	// Content is the vertical electron content that is taken; Entered where the operator gave it.
	// There is what is taken above the partner.
	Content, There faraday.Electrons
	Entered        bool
	// Own is the misfit of the own echo; Heard that of the partner's signal here, Hears of ours there, with feeds as
	// they are.
	Own, Heard, Hears faraday.Misfit
	// Mixed: one feed of the two stations is linear, the other circular.
	Mixed bool
	// SendHand and EchoHand are the hands of a circular feed and of its echo, 'left' or 'right'; empty for linear ones.
	SendHand, EchoHand string
}

// contentHolds is for how long an entered electron content is taken: it changes through the day.
const contentHolds = 6 * time.Hour

// content is what was entered of the ionosphere.
type content struct {
	TECU float64
	At   time.Time
}

// The least and the greatest electron content that is taken, TECU.
const (
	MinTECU = 1
	MaxTECU = 300
)

// SetContent takes an electron content at a moment; 0 goes back to what is expected. Why says why not.
func (s *State) SetContent(tecu int, at time.Time) (why message.Message) {
	if tecu != 0 && (tecu < MinTECU || tecu > MaxTECU) {
		return message.Of("radio.content", MinTECU, MaxTECU)
	}
	s.Content = content{float64(tecu), at}
	s.Changed()
	return message.Message{}
}

// faraday works out what becomes of polarisation; spatial is the difference of the two feeds' own directions, here
// minus there.
func (w *work) faraday(q echo.Question, look ephem.Look, mixed bool, spatial unit.Angle, at time.Time) Faraday {
	f := Faraday{Matters: faraday.Matters(q.Hz), Linear: w.linear(), Mixed: mixed}
	switch w.feed().Polarisation {
	case settings.LeftCircular:
		f.SendHand, f.EchoHand = "left", "right"
	case settings.RightCircular:
		f.SendHand, f.EchoHand = "right", "left"
	}
	index, off := noise.ExpectedIndex(at)
	f.Content = faraday.Expected(at, q.Here.Lon, index, off)
	f.There = faraday.Expected(at, q.There.Lon, index, off)
	if entered := w.s.Content; entered.TECU > 0 && at.Sub(entered.At).Abs() < contentHolds {
		here := f.Content
		f.Content, f.Entered = faraday.Entered(entered.TECU), true
		f.There = faraday.Elsewhere(f.Content, here, f.There)
	}
	if !f.Matters {
		f.Heard.Angle, f.Hears.Angle = -spatial, spatial
		return f
	}
	here := faraday.PathOf(q.Hz, q.Here.Lat, q.Here.Lon, look.Az, look.El, f.Content, at)
	f.Own = faraday.Own(here)
	if q.HasPartner {
		theirs := w.c.Sky.Look(q.There, ephem.MoonBody(), at)
		there := faraday.PathOf(q.Hz, q.There.Lat, q.There.Lon, theirs.Az, theirs.El, f.There, at)
		f.Heard, f.Hears = faraday.Between(spatial, here, there)
	}
	return f
}

// PolarisationDB is what is lost of the partner's signal here, and of ours there.
func (r *Path) PolarisationDB() (here, there float64) {
	switch {
	case r.Faraday.Mixed:
		return faraday.LinearToCircularDB, faraday.LinearToCircularDB
	case r.BothLinear && r.Faraday.Matters:
		return r.Faraday.Heard.LossDB(), r.Faraday.Hears.LossDB()
	case r.BothLinear:
		return r.PolarisationLossDB, r.PolarisationLossDB
	}
	return 0, 0
}
