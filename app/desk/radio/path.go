package radio

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/app/settings"
	"beamhelm/ephem"
	"beamhelm/ephem/budget"
	"beamhelm/ephem/echo"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/partner"
	"beamhelm/ephem/passes"
)

// Path is the radio path by way of the Moon for the band in use, as it is for
// a signal that is received now. It is immutable; a new pointer comes once a second.
type Path struct {
	At   time.Time
	Band string
	// AgreedHz is the frequency spoken of between the stations: as entered for the band, else the band's.
	AgreedHz float64
	// MoonEl is as seen; Up says that it is above the least elevation.
	MoonEl unit.Angle
	Up     bool
	Own    Signal
	// AboveBestDB is the own echo beyond the best of 15 days before and after:
	// by the path, and by the sky behind the Moon at this elevation.
	AboveBestPathDB, AboveBestSkyDB float64
	Noise                           NoiseParts
	// SunOff is the angle between Moon and Sun.
	SunOff unit.Angle
	// Budget is what the own echo should be, with the beam on the Moon.
	Budget EchoBudget
	// Worth is what the Moon is worth now, Merit its figure from 0 to 1.
	Worth budget.Worth
	Merit float64

	Partners   []Partner // the kept list
	Convention int       // an index of Conventions
	// ListenHz and SendHz are the tuning for the convention: with the partner, or for the own echo.
	ListenHz, SendHz float64
	// Dial is the same on the radio's own dial, for a whole period.
	Dial Dial
	// What follows belongs to the partner, and means nothing without one.
	HasPartner    bool
	Partner       Partner
	PartnerEl     unit.Angle
	PartnerRising bool
	Mutual        Signal
	// Polarisation is here minus there, -90 to +90 degrees. BothLinear says
	// that its loss counts; it is +Inf for feeds that stand across.
	Polarisation       unit.Angle
	PolarisationLossDB float64
	// BetweenFeeds is the angle between the two polarisations as they meet at linear feeds.
	BetweenFeeds unit.Angle
	BothLinear   bool
	Faraday      Faraday

	// Pass is the chart of the pass, nil where the Moon doesn't rise.
	Pass *Pass
}

// Signal is what the way by the Moon does to a signal: received minus sent
// frequency and its change, the time under way, the two-way loss, that beyond the
// mean perigee, and the width in frequency from limb to limb.
type Signal struct {
	DopplerHz, DriftHzPerS float64
	DelayS                 float64
	LossDB, AbovePerigeeDB float64
	SpreadHz               float64
	Within                 echo.Accuracy
}

// NoiseParts are where the system noise comes from, kelvin, with the beam on the
// Moon: the sky behind it (and what the beam sees of it beside the disc), the Moon's own,
// the Sun in the beam and its side lobes, air and ground, the receiver with the loss before it. BehindK is
// the sky's own temperature there. NaN where the air isn't known.
type NoiseParts struct {
	BehindK                                     float64
	SkyK, MoonK, SunK, AirK, GroundK, ReceiverK float64
	SystemK                                     float64
	// Doubt says why it isn't the settings' antenna that is reckoned with; empty where it is.
	Doubt message.Message
}

// Pass are the figures over this pass of the Moon, or the next where it is down.
type Pass struct {
	Rise, Set time.Time
	Points    []PassPoint
}

// PassPoint is a moment of a pass: the partner's signal where there is a
// partner, else the own echo.
type PassPoint struct {
	At                       time.Time
	DopplerHz, SpreadHz      float64
	AbovePerigeeDB, SystemK  float64
	MoonEl, PartnerEl        unit.Angle
	Merit                    float64
	HasPartner, BothStations bool // BothStations: the Moon is up at both
}

// sunLeft is the least angle between Moon and Sun for a useful pass.
const sunLeft = 5 // degrees

// State is what is carried from one step to the next.
type State struct {
	Partners      []partner.Partner
	List          string   // the same as CSV
	Chosen        string   // name; empty for none
	OtherPartners []string // names of the other partners of the plan
	Convention    echo.Convention
	Agreed        []Agreed
	Periods       Periods
	Mode          int // an index of mode.All
	Content       content
	Month         monthState
	Skeds         skedState
	Shading       shadingState
	path          *Path
	antenna       *Antenna // nil: to be worked out
	best          bestSky
	heard         heard
	pass          *Pass
	passFor       passKey
	passAt        time.Time
}

// bestSky is what the best of the month is measured by.
type bestSky struct {
	Has         bool
	At          time.Time
	Hz          float64
	MinK        float64 // the coldest sky behind the Moon
	AbovePathDB float64
}

// passKey is what a chart of a pass belongs to.
type passKey struct {
	Band, Feed int
	There      string
}

// radioEvery is how often the figures are worked out again.
const radioEvery = time.Second

// radio is the newest report, worked out again once a second; nil without a table of the sky's brightness.
func (w *work) radio() *Path {
	s, c, at := w.s, w.c, w.in.At
	if c.Galaxy == nil {
		return nil
	}
	if age := sinceOf(s.path, at); s.path != nil && age >= 0 && age < radioEvery {
		return s.path
	}
	s.path = w.report(at)
	s.path.Pass = w.radioPass()
	return s.path
}

func sinceOf(r *Path, at time.Time) time.Duration {
	if r == nil {
		return 0
	}
	return at.Sub(r.At)
}

// Partner is the site of the partner in use; ok is false for none.
func (s *State) Partner() (site ephem.Site, ok bool) {
	site, _, ok = s.partner()
	return site, ok
}

func (s *State) partner() (site ephem.Site, p partner.Partner, ok bool) {
	for _, known := range s.Partners {
		if known.Name == s.Chosen {
			if there, err := known.Site(); err == nil {
				site, p, ok = there, known, true
			}
		}
	}
	return site, p, ok
}

// question is what is asked of the path on the band in use.
func (w *work) question() (q echo.Question, p partner.Partner) {
	c := w.c
	q = echo.Question{
		Here: c.Site(), Air: c.Air(), Hz: w.s.agreedHz(&c.Settings.Bands[w.in.Band]),
		HalfPower: c.Beamwidth(w.in.Band, w.in.Feed), Fineness: noise.Coarse,
	}
	q.There, p, q.HasPartner = w.s.partner()
	if q.HasPartner {
		q.ThereKm = echo.CellKm(len(p.Locator))
	}
	return q, p
}

func worthLimits(c *station.Config) budget.Limits {
	return budget.Limits{Min: c.Min(), SunLeft: max(degrees(sunLeft), degrees(c.Settings.Sun.KeepAwayDeg))}
}

// report works out the path for a signal that is received at a moment.
func (w *work) report(at time.Time) *Path {
	s, c := w.s, w.c
	q, there := w.question()
	r := echo.ReportAt(c.Sky, c.Galaxy, q, at)
	heard := w.onMoon(q, r, at)
	worth := budget.WorthOf(r, q, heard.skyK, heard.coldK, worthLimits(c))
	linear := w.linear() && there.Polarisation.Linear()
	summed := r
	if linear { // between the two feeds
		summed.Polarisation = echo.Between(r.Polarisation, w.polarisation() != there.Polarisation)
	}
	out := &Path{
		At: at, Band: c.Settings.Bands[w.in.Band].Name, AgreedHz: q.Hz,
		MoonEl: r.MoonEl, Up: r.MoonEl >= c.Min(), Own: Signal(r.Own), SunOff: r.SunOff,
		Noise: heard.parts,
		Worth: worth, Merit: worth.Merit, BetweenFeeds: summed.Polarisation,
		Partners: partnersOf(s.Partners), Convention: int(s.Convention),
		HasPartner: q.HasPartner, Partner: partnerOf(there), PartnerEl: r.PartnerEl, Mutual: Signal(r.Mutual),
		Polarisation: r.Polarisation, BothLinear: linear,
	}
	if linear {
		out.PolarisationLossDB = echo.PolarisationLossDB(summed.Polarisation)
	}
	tuning := echo.TuneOwn(c.Sky, q.Here, q.Hz, s.Convention, at)
	if q.HasPartner {
		tuning = echo.Tune(c.Sky, q.Here, q.There, q.Hz, s.Convention, at)
		later := c.Sky.Look(q.There, ephem.MoonBody(), at.Add(time.Minute)).El
		out.PartnerRising = q.Air.Refracted(later) > r.PartnerEl
	}
	out.ListenHz, out.SendHz = tuning.ListenHz, tuning.SendHz
	out.Dial = w.dial(q, out.Partner.Locator, at)
	mixed := q.HasPartner && w.linear() != there.Polarisation.Linear()
	out.Faraday = w.faraday(q, r.Look, mixed, summed.Polarisation, at)
	out.Budget = w.ownBudget(out, r)
	best := w.best(q, at)
	out.AboveBestPathDB = best.AbovePathDB
	out.AboveBestSkyDB = aboveBestSky(out.Noise, best.MinK)
	return out
}

// aboveBestSky is by how much the sky behind the Moon raises the system noise
// over what it would be with another temperature there.
func aboveBestSky(n NoiseParts, minK float64) float64 {
	if n.BehindK <= minK {
		return 0
	}
	return 10 * math.Log10(n.SystemK/(n.SystemK-n.SkyK*(1-minK/n.BehindK)))
}

func (w *work) feed() settings.Feed { return w.c.Settings.Bands[w.in.Band].Feeds[w.in.Feed] }

func (w *work) linear() bool { return w.polarisation().Linear() }

// polarisation is our feed's, as a partner's is told.
func (w *work) polarisation() partner.Polarisation { return polarisationOf(w.feed()) }

func polarisationOf(feed settings.Feed) partner.Polarisation {
	switch feed.Polarisation {
	case settings.Horizontal:
		return partner.Horizontal
	case settings.Vertical:
		return partner.Vertical
	}
	return partner.Circular
}

// The best of the month is looked for every so often, a sample every three hours for 15 days each way.
const (
	bestEvery  = time.Minute
	bestSample = 3 * time.Hour
	bestReach  = 15 * 24 * time.Hour
)

// best is the best of the month around a moment.
func (w *work) best(q echo.Question, at time.Time) bestSky {
	b := &w.s.best
	age := at.Sub(b.At)
	if b.Has && b.Hz == q.Hz && age >= 0 && age < bestEvery {
		return *b
	}
	coldest := *b
	if !b.Has || b.Hz != q.Hz || b.MinK == 0 || b.At.Truncate(bestSample) != at.Truncate(bestSample) {
		coldest.MinK = math.Inf(1)
		for after := -bestReach; after <= bestReach; after += bestSample {
			coldest.MinK = min(coldest.MinK, echo.BehindMoon(w.c.Sky, w.c.Galaxy, q, at.Add(after)))
		}
	}
	*b = bestSky{Has: true, At: at, Hz: q.Hz, MinK: coldest.MinK, AbovePathDB: echo.AboveBestOfMonthDB(w.c.Sky, at)}
	return *b
}

// The chart of a pass has a point every ten minutes, a day of them at most.
const (
	passPoint = 10 * time.Minute
	// PassReach is how long a pass can last, at most.
	PassReach = 26 * time.Hour
	passAnew  = 10 * time.Minute
)

// radioPass is the chart of this pass, or the next; worked out again when the pass, the band or the partner is another.
func (w *work) radioPass() *Pass {
	s, at := w.s, w.in.At
	key := passKey{w.in.Band, w.in.Feed, s.Chosen}
	age := at.Sub(s.passAt)
	over := s.pass != nil && (at.After(s.pass.Set) || at.Before(s.pass.Rise.Add(-PassReach)))
	if s.passFor == key && !over && !s.passAt.IsZero() && age >= 0 && (s.pass != nil || age < passAnew) {
		return s.pass
	}
	s.passFor, s.passAt = key, at
	s.pass = w.workPass(at)
	return s.pass
}

func (w *work) workPass(at time.Time) *Pass {
	c := w.c
	here := passes.Station{Site: c.Site(), Air: c.Air(), Min: c.Min()}
	for _, p := range passes.Of(c.Sky, ephem.MoonBody(), here, at.Add(-PassReach), at.Add(2*PassReach)) {
		if p.Set.Before(at) {
			continue
		}
		pass := &Pass{Rise: p.Rise, Set: p.Set}
		end := p.Rise.Add(24 * time.Hour) // where it doesn't set, a day of it
		for point := p.Rise; point.Before(p.Set) && point.Before(end); point = point.Add(passPoint) {
			pass.Points = append(pass.Points, w.radioPoint(point))
		}
		if p.Set.Before(end) {
			pass.Points = append(pass.Points, w.radioPoint(p.Set))
		}
		return pass
	}
	return nil
}

func (w *work) radioPoint(at time.Time) PassPoint {
	q, _ := w.question()
	r := echo.ReportAt(w.c.Sky, w.c.Galaxy, q, at)
	heard := w.hearMoon(r, at, noise.Coarse)
	signal := r.Own
	if q.HasPartner {
		signal = r.Mutual
	}
	minimum := w.c.Min() - degrees(0.01)
	return PassPoint{
		At: at, DopplerHz: signal.DopplerHz, SpreadHz: signal.SpreadHz, AbovePerigeeDB: signal.AbovePerigeeDB,
		SystemK: heard.parts.SystemK, MoonEl: r.MoonEl, PartnerEl: r.PartnerEl,
		Merit:      budget.WorthOf(r, q, heard.skyK, heard.coldK, worthLimits(w.c)).Merit,
		HasPartner: q.HasPartner, BothStations: q.HasPartner && r.MoonEl >= minimum && r.PartnerEl >= minimum,
	}
}
func degrees(d float64) unit.Angle { return unit.AngleFromDeg(d) }
