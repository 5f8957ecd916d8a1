// Package practice is the simulated dish of a station: the dish and its
// enclosure as the settings describe them, under the real sky. Practice, the
// replica command and the rehearsals all use it.
package practice

import (
	"fmt"
	"sync"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/settings"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/replica/plant"
	"beamhelm/drive/replica/serve"
	"beamhelm/ephem"
)

// Config of a simulated dish.
type Config struct {
	// From is the moment at which its time begins.
	From time.Time
	// Seed of everything that strays.
	Seed uint64
	// Place is where the axes stand at first, as axis angles; without HasPlace
	// the beam stands ten degrees before the Moon, or in the park place where the Moon is down.
	Place    mount.AxisAngles
	HasPlace bool
	// Without is what the enclosure lacks although the settings speak of it.
	Without enclosure.Fitted
	// Late has the enclosure reply as late as the register page allows.
	Late bool
	// Now, if any, tells the sky's moment; else the sky runs as fast as the dish, from From.
	Now func() time.Time
}

// Dish is a simulated dish with its enclosure. Its methods may be called from
// any goroutine; those of its Slave belong to whoever carries the bytes.
type Dish struct {
	sky  *ephem.Sky
	site ephem.Site
	air  ephem.Air

	slave *serve.Slave

	mu    sync.Mutex
	plant *plant.Plant
	now   func() time.Time // nil: the plant's own
	lit   time.Time
}

// skyEvery is how often Sun and Moon move, by their own time.
const skyEvery = time.Second

// New makes a dish at rest, whose enclosure has just started.
func New(s settings.Settings, sky *ephem.Sky, c Config) (*Dish, error) {
	d := &Dish{
		sky: sky,
		site: ephem.Site{Lat: unit.AngleFromDeg(s.Station.LatitudeDeg), Lon: unit.AngleFromDeg(s.Station.LongitudeDeg),
			HeightM: s.Station.HeightM},
		air: ephem.Air{PressureHPa: s.Air.PressureHPa, TemperatureC: s.Air.TemperatureC,
			HumidityPercent: s.Air.HumidityPercent},
		now: c.Now,
	}
	if !c.HasPlace {
		c.Place = d.tenBefore(s, c.From)
	}
	p, err := plant.New(plantConfig(s, c))
	if err != nil {
		return nil, err
	}
	d.plant = p
	e, err := serve.New(d, serveConfig(s, c))
	if err != nil {
		return nil, fmt.Errorf("simulated enclosure: %w", err)
	}
	d.slave = serve.NewSlave(e)
	return d, nil
}

// tenBefore is a place ten degrees of azimuth before the Moon, at its elevation.
func (d *Dish) tenBefore(s settings.Settings, at time.Time) mount.AxisAngles {
	look := d.sky.Look(d.site, ephem.MoonBody(), at)
	az, el := s.Axes.Azimuth, s.Axes.Elevation
	park := mount.AxisAngles{Az: unit.AngleFromDeg(s.Park.AzimuthDeg), El: unit.AngleFromDeg(s.Park.ElevationDeg)}
	moon := d.air.Refracted(look.El).Deg()
	place := look.Az.Deg() - 10/look.El.Cos()
	for place < az.LowerSoftDeg {
		place += 360
	}
	if moon < el.LowerSoftDeg+1 || moon > el.UpperSoftDeg-1 || place > az.UpperSoftDeg {
		return park
	}
	return mount.AxisAngles{Az: unit.AngleFromDeg(place), El: unit.AngleFromDeg(moon)}
}

// Slave is the enclosure's side of the line.
func (d *Dish) Slave() *serve.Slave { return d.slave }

// Step lets the dish move; the enclosure calls it.
func (d *Dish) Step(in plant.Input) plant.Output {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.now != nil {
		d.plant.SetNow(d.now())
	}
	if at := d.plant.Now(); at.Sub(d.lit).Abs() >= skyEvery {
		d.lit = at
		d.plant.SetSky(d.heavens(at))
	}
	return d.plant.Step(in)
}

// heavens are Sun and Moon as they are seen.
func (d *Dish) heavens(at time.Time) plant.Sky {
	seen := func(b ephem.Body) (az, el, diameter unit.Angle) {
		look := d.sky.Look(d.site, b, at)
		return look.Az, d.air.Refracted(look.El), look.Diameter
	}
	var sky plant.Sky
	az, el, diameter := seen(ephem.SunBody())
	sky.Sun = plant.Sun(az, el)
	sky.Sun.Diameter = diameter
	az, el, diameter = seen(ephem.MoonBody())
	sky.Moon = plant.Moon(az, el)
	sky.Moon.Diameter = diameter
	return sky
}

// Truth is what really is.
func (d *Dish) Truth() plant.Truth {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.plant.Truth()
}

// Put adds a fault, and Mend removes one by its full name, or all of them with an empty name.
func (d *Dish) Put(f plant.Fault) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	f.From = d.plant.Elapsed()
	return d.plant.Put(f)
}

// Mend removes the fault of a full name; all of them where the name is empty.
func (d *Dish) Mend(name string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if name == "" {
		d.plant.Mend()
		return nil
	}
	f, _, err := plant.Named(name)
	if err != nil {
		return err
	}
	d.plant.Remove(f.Kind, f.Axis)
	return nil
}

// Standing are the full names of the faults that were put and not mended.
func (d *Dish) Standing() []string {
	d.mu.Lock()
	defer d.mu.Unlock()
	faults, count := d.plant.Faults()
	var names []string
	for _, name := range plant.Names() {
		known, _, _ := plant.Named(name)
		for _, f := range faults[:count] {
			if f.Kind == known.Kind && f.Axis == known.Axis {
				names = append(names, name)
			}
		}
	}
	return names
}

// SetSending says whether somebody sends in the dish's periods when permitted.
func (d *Dish) SetSending(on bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.plant.SetSending(on)
}

// SetKey sets the line that keys the transmitter, whatever the period: it transmits when permitted.
func (d *Dish) SetKey(high bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.plant.SetKey(high)
}

// References are what a faultless referencing would find, for a practice that
// begins with a trusted position. Call it before time passes.
func (d *Dish) References() [2]mount.Reference {
	truth := d.Truth()
	e := d.slave.Enclosure()
	start, motion := e.Identity().StartCounter, e.Motion()
	var out [2]mount.Reference
	for i := range out {
		out[i] = mount.Reference{
			Zero:  mount.Zero{Angle: truth.ZeroAngle[i]},
			Start: start, LastCounts: motion.Counts[i], Origin: mount.ByHand, AtUnixNanos: truth.Now.UnixNano(),
		}
	}
	return out
}

// serveConfig is the enclosure that the settings speak of.
func serveConfig(s settings.Settings, of Config) serve.Config {
	c := serve.Default()
	c.Unit, c.Baud = byte(s.Link.Unit), s.Link.Baud
	for i, a := range [2]settings.Axis{s.Axes.Azimuth, s.Axes.Elevation} {
		c.FixedSpeeds[i] = uint8(len(a.FixedSpeedsDegPerS))
		if !a.Fitted {
			c.Fitted &^= enclosure.FittedAzimuth << i
		}
	}
	c.Fitted &^= of.Without
	if of.Late {
		c = c.Latest()
	}
	return c
}

// plantConfig is the dish that the settings speak of, on a mount that is not
// quite perfect.
func plantConfig(s settings.Settings, c Config) plant.Config {
	p := plant.Default()
	p.Seed, p.Start = c.Seed, c.From
	p.Dish.DiameterM = s.Dish.DiameterM
	if s.Dish.Finish != settings.Mesh {
		p.Dish.Solidity = 1
	}
	p.Mount.LeanNorth, p.Mount.LeanEast, p.Mount.Sag = unit.AngleFromDeg(0.02), unit.AngleFromDeg(-0.01),
		unit.AngleFromDeg(0.015)
	p.Sequencer.PeriodS, p.Sequencer.OursFirst = s.Periods.LengthS, s.Periods.Ours == settings.First
	for i, a := range [2]settings.Axis{s.Axes.Azimuth, s.Axes.Elevation} {
		axis(&p.Axes[i], a)
	}
	p.Axes[0].Place, p.Axes[1].Place = c.Place.Az, c.Place.El
	p.Bands = [plant.MaxBands]plant.Band{}
	for i, b := range s.Bands {
		if i < plant.MaxBands {
			p.Bands[i] = band(b)
		}
	}
	return p
}

func axis(p *plant.Axis, a settings.Axis) {
	if !a.Fitted {
		return
	}
	p.EndLow, p.EndHigh = unit.AngleFromDeg(a.LowerEndDeg), unit.AngleFromDeg(a.UpperEndDeg)
	p.Mark = unit.AngleFromDeg(a.MarkAngleDeg)
	p.TopSpeed = unit.AngleFromDeg(a.TopSpeedDegPerS)
	// What the settings ask for the dish can do, and a little more.
	p.Acceleration = unit.AngleFromDeg(a.AccelerationDegPerS2 * 1.04)
	p.Backlash = unit.AngleFromDeg(a.BacklashDeg)
	p.DriveDirection = a.DriveDirection
	p.Encoder.Pulses, p.Encoder.Ratio, p.Encoder.Direction = a.Pulses, a.GearRatio, a.Direction
	p.Encoder.OnMotor = a.Encoder == settings.OnMotorShaft
}

func band(b settings.Band) plant.Band {
	p := plant.DefaultBand(b.MHz, b.LinkBand)
	p.ReceiverK = b.ReceiverTemperature
	if len(b.Feeds) > 0 {
		f := b.Feeds[0]
		p.SquintCross, p.SquintUp = unit.AngleFromDeg(f.SquintCrossElDeg), unit.AngleFromDeg(f.SquintElDeg)
		p.HalfPower = unit.AngleFromDeg(f.BeamwidthDeg)
		p.SlopeMVPerDB = f.DetectorSlopeMVPerDB
	}
	if b.TransmitPowerW > 0 {
		p.ForwardW = b.TransmitPowerW
	}
	return p
}

// Air is the air that the sky is seen through.
func (d *Dish) Air() ephem.Air { return d.air }
