package desk

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/settings"
	"beamhelm/ephem"
	"beamhelm/ephem/budget"
	"beamhelm/ephem/echo"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/partner"
	"beamhelm/ephem/passes"
)

// Radio is the radio path by way of the Moon for the band in use, as it is for
// a signal that is received now. It is immutable; a new pointer comes once a second.
type Radio struct {
	At   time.Time
	Band string
	// AgreedHz is the frequency spoken of between the stations: the band's.
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
	// Summary is one line by the rule of package echo, Merit its figure from 0 to 1.
	Summary string
	Merit   float64

	Partners   []Partner // the kept list
	Convention int       // an index of Conventions
	// ListenHz and SendHz are the tuning for the convention: with the partner, or for the own echo.
	ListenHz, SendHz float64
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
	BothLinear         bool

	// Pass is the chart of the pass, nil where the Moon doesn't rise.
	Pass *RadioPass
}

// Signal is what the way by the Moon does to a signal: received minus sent
// frequency and its change, the time under way, the two-way loss, that beyond the
// mean perigee, and the width in frequency from limb to limb.
type Signal struct {
	DopplerHz, DriftHzPerS float64
	DelayS                 float64
	LossDB, AbovePerigeeDB float64
	SpreadHz               float64
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
	Doubt string
}

// RadioPass are the figures over this pass of the Moon, or the next where it is down.
type RadioPass struct {
	Rise, Set time.Time
	Points    []RadioPoint
}

// RadioPoint is a moment of a pass: the partner's signal where there is a
// partner, else the own echo.
type RadioPoint struct {
	At                       time.Time
	DopplerHz, SpreadHz      float64
	AbovePerigeeDB, SystemK  float64
	MoonEl, PartnerEl        unit.Angle
	Merit                    float64
	HasPartner, BothStations bool // BothStations: the Moon is up at both
}

// sunLeft is the least angle between Moon and Sun for a useful pass.
const sunLeft = 5 // degrees

// radioState is what the desk carries of the radio path.
type radioState struct {
	Partners   []partner.Partner
	List       string   // the same as CSV
	Chosen     string   // name; empty for none
	Company    []string // names of the other partners of the plan
	Convention echo.Convention
	Radio      *Radio
	Best       bestSky
	Heard      heard
	Pass       *RadioPass
	PassFor    passKey
	PassAt     time.Time
}

// bestSky is what the best of the month is measured by.
type bestSky struct {
	Has         bool
	At          time.Time
	Hz          float64
	LeastK      float64 // the coldest sky behind the Moon
	AbovePathDB float64
}

// passKey is what a chart of a pass belongs to.
type passKey struct {
	Band, Feed int
	There      string
}

// radioEvery is how often the figures are worked out anew.
const radioEvery = time.Second

// radio is the newest report, worked out anew once a second; nil without a table of the sky's brightness.
func (t *turn) radio() *Radio {
	s, c, at := &t.s.Radio, t.c, t.in.At
	if c.Galaxy == nil {
		return nil
	}
	if age := sinceOf(s.Radio, at); s.Radio != nil && age >= 0 && age < radioEvery {
		return s.Radio
	}
	s.Radio = t.report(at)
	s.Radio.Pass = t.radioPass()
	return s.Radio
}

func sinceOf(r *Radio, at time.Time) time.Duration {
	if r == nil {
		return 0
	}
	return at.Sub(r.At)
}

// question is what is asked of the path on the band in use.
func (t *turn) question() (q echo.Question, p partner.Partner) {
	s, c := t.s, t.c
	q = echo.Question{Here: c.Site(), Air: c.Air(), Hz: c.Settings.Bands[s.Band].MHz * 1e6, HalfPower: c.Beamwidth(s.Band, s.Feed), Fineness: noise.Coarse}
	for _, known := range s.Radio.Partners {
		if known.Name == s.Radio.Chosen {
			if site, err := known.Site(); err == nil {
				q.There, q.HasPartner, p = site, true, known
			}
		}
	}
	return q, p
}

func worthLimits(c *Config) budget.Limits {
	return budget.Limits{Least: c.Least(), SunLeft: max(degrees(sunLeft), degrees(c.Settings.Sun.KeepAwayDeg))}
}

// report works out the path for a signal that is received at a moment.
func (t *turn) report(at time.Time) *Radio {
	s, c := t.s, t.c
	q, there := t.question()
	r := echo.ReportAt(c.Sky, c.Galaxy, q, at)
	heard := t.onMoon(q, r, at)
	worth := budget.WorthOf(r, q, heard.skyK, heard.coldK, worthLimits(c))
	linear := t.linear() && there.Polarisation.Linear()
	summed := r
	if linear && t.vertical() != (there.Polarisation == partner.Vertical) {
		summed.Polarisation = acrossFrom(r.Polarisation) // between the two feeds
	}
	out := &Radio{
		At: at, Band: c.Settings.Bands[s.Band].Name, AgreedHz: q.Hz,
		MoonEl: r.MoonEl, Up: r.MoonEl >= c.Least(), Own: Signal(r.Own), SunOff: r.SunOff,
		Noise:   heard.parts,
		Summary: budget.Summary(summed, q, worth, linear), Merit: worth.Merit,
		Partners: partnersOf(s.Radio.Partners), Convention: int(s.Radio.Convention),
		HasPartner: q.HasPartner, Partner: partnerOf(there), PartnerEl: r.PartnerEl, Mutual: Signal(r.Mutual),
		Polarisation: r.Polarisation, BothLinear: linear,
	}
	if linear {
		out.PolarisationLossDB = echo.PolarisationLossDB(summed.Polarisation)
	}
	tuning := echo.TuneOwn(c.Sky, q.Here, q.Hz, s.Radio.Convention, at)
	if q.HasPartner {
		tuning = echo.Tune(c.Sky, q.Here, q.There, q.Hz, s.Radio.Convention, at)
		later := c.Sky.Look(q.There, ephem.MoonBody(), at.Add(time.Minute)).El
		out.PartnerRising = q.Air.Refracted(later) > r.PartnerEl
	}
	out.ListenHz, out.SendHz = tuning.ListenHz, tuning.SendHz
	out.Budget = t.ownBudget(out, r)
	best := t.best(q, at)
	out.AboveBestPathDB = best.AbovePathDB
	out.AboveBestSkyDB = aboveBestSky(out.Noise, best.LeastK)
	return out
}

// aboveBestSky is by how much the sky behind the Moon raises the system noise
// over what it would be with another temperature there.
func aboveBestSky(n NoiseParts, leastK float64) float64 {
	if n.BehindK <= leastK {
		return 0
	}
	return 10 * math.Log10(n.SystemK/(n.SystemK-n.SkyK*(1-leastK/n.BehindK)))
}

// acrossFrom is a turn of polarisation between a horizontal and a vertical feed.
func acrossFrom(a unit.Angle) unit.Angle {
	across := a + degrees(90)
	if across > degrees(90) {
		across -= degrees(180)
	}
	return across
}

func (t *turn) feed() settings.Feed { return t.c.Settings.Bands[t.s.Band].Feeds[t.s.Feed] }

func (t *turn) linear() bool {
	p := t.feed().Polarisation
	return p == settings.Horizontal || p == settings.Vertical
}

func (t *turn) vertical() bool { return t.feed().Polarisation == settings.Vertical }

// The best of the month is looked for every so often, a sample every three hours for 15 days each way.
const (
	bestEvery  = time.Minute
	bestSample = 3 * time.Hour
	bestReach  = 15 * 24 * time.Hour
)

// best is the best of the month around a moment.
func (t *turn) best(q echo.Question, at time.Time) bestSky {
	b := &t.s.Radio.Best
	age := at.Sub(b.At)
	if b.Has && b.Hz == q.Hz && age >= 0 && age < bestEvery {
		return *b
	}
	coldest := *b
	if !b.Has || b.Hz != q.Hz || b.LeastK == 0 || b.At.Truncate(bestSample) != at.Truncate(bestSample) {
		coldest.LeastK = math.Inf(1)
		for after := -bestReach; after <= bestReach; after += bestSample {
			coldest.LeastK = min(coldest.LeastK, echo.BehindMoon(t.c.Sky, t.c.Galaxy, q, at.Add(after)))
		}
	}
	*b = bestSky{Has: true, At: at, Hz: q.Hz, LeastK: coldest.LeastK, AbovePathDB: echo.AboveBestOfMonthDB(t.c.Sky, at)}
	return *b
}

// The chart of a pass has a point every ten minutes, a day of them at most.
const (
	passPoint = 10 * time.Minute
	passReach = 26 * time.Hour
	passAnew  = 10 * time.Minute
)

// radioPass is the chart of this pass, or the next; worked out anew when the pass, the band or the partner is another.
func (t *turn) radioPass() *RadioPass {
	s, at := &t.s.Radio, t.in.At
	key := passKey{t.s.Band, t.s.Feed, s.Chosen}
	age := at.Sub(s.PassAt)
	over := s.Pass != nil && (at.After(s.Pass.Set) || at.Before(s.Pass.Rise.Add(-passReach)))
	if s.PassFor == key && !over && !s.PassAt.IsZero() && age >= 0 && (s.Pass != nil || age < passAnew) {
		return s.Pass
	}
	s.PassFor, s.PassAt = key, at
	s.Pass = t.workPass(at)
	return s.Pass
}

func (t *turn) workPass(at time.Time) *RadioPass {
	c := t.c
	here := passes.Station{Site: c.Site(), Air: c.Air(), Least: c.Least()}
	for _, p := range passes.Of(c.Sky, ephem.MoonBody(), here, at.Add(-passReach), at.Add(2*passReach)) {
		if p.Set.Before(at) {
			continue
		}
		pass := &RadioPass{Rise: p.Rise, Set: p.Set}
		end := p.Rise.Add(24 * time.Hour) // where it doesn't set, a day of it
		for point := p.Rise; point.Before(p.Set) && point.Before(end); point = point.Add(passPoint) {
			pass.Points = append(pass.Points, t.radioPoint(point))
		}
		if p.Set.Before(end) {
			pass.Points = append(pass.Points, t.radioPoint(p.Set))
		}
		return pass
	}
	return nil
}

func (t *turn) radioPoint(at time.Time) RadioPoint {
	q, _ := t.question()
	r := echo.ReportAt(t.c.Sky, t.c.Galaxy, q, at)
	heard := t.hearMoon(r, at, noise.Coarse)
	signal := r.Own
	if q.HasPartner {
		signal = r.Mutual
	}
	least := t.c.Least() - degrees(0.01)
	return RadioPoint{
		At: at, DopplerHz: signal.DopplerHz, SpreadHz: signal.SpreadHz, AbovePerigeeDB: signal.AbovePerigeeDB,
		SystemK: heard.parts.SystemK, MoonEl: r.MoonEl, PartnerEl: r.PartnerEl,
		Merit:      budget.WorthOf(r, q, heard.skyK, heard.coldK, worthLimits(t.c)).Merit,
		HasPartner: q.HasPartner, BothStations: q.HasPartner && r.MoonEl >= least && r.PartnerEl >= least,
	}
}
