package stage

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/message"
)

// Evening is the moment that the invented statuses show.
func Evening() time.Time { return time.Date(2027, 4, 14, 16, 4, 12, 0, time.UTC) }

func degrees(d float64) unit.Angle { return unit.AngleFromDeg(d) }

// Tracking returns an invented status: the dish of Cold Harbour Field on the
// Moon, one reading out of its band.
func Tracking() desk.Status {
	at := Evening()
	s := desk.Status{
		Number: 1, At: at, Practice: true,
		Station: desk.Station{Name: "Cold Harbour Field", Locator: "IO85ma", Lat: degrees(55.02), Lon: degrees(-2.96),
			HeightM: 190},
		Scene:    scene(at),
		Activity: desk.Tracking, Destination: message.Text("the Moon"),
		Target: desk.Target{
			Choice: desk.BodyChoice{Kind: desk.Moon}, Name: "Moon", Az: degrees(116.45), El: degrees(40.68), Up: true,
			Set: at.Add(11*time.Hour + 12*time.Minute), Highest: at.Add(3 * time.Hour), HighestEl: degrees(54.3),
			Rise: at.Add(19 * time.Hour), DistanceKm: 365960, RangeRateMps: -312, Diameter: degrees(0.545),
		},
		Bodies: []desk.Body{
			{Kind: desk.Moon, Name: "Moon", Az: degrees(116.45), El: degrees(40.68), Diameter: degrees(0.545)},
			{Kind: desk.Sun, Name: "Sun", Az: degrees(248.26), El: degrees(25.76), Diameter: degrees(0.532)},
			{Kind: desk.Source, Name: "Cas A", Az: degrees(313.4), El: degrees(44.8)},
			{Kind: desk.Source, Name: "Cyg A", Az: degrees(330.6), El: degrees(11.5)},
			{Kind: desk.Source, Name: "Tau A", Az: degrees(174.3), El: degrees(56.9)},
			{Kind: desk.Source, Name: "Vir A", Az: degrees(68.9), El: degrees(0.4)},
		},
		Sources: sources(at),
		Off:     degrees(0.04), OffCross: degrees(0.06), OffEl: degrees(-0.07), EchoLossDB: 0.1,
		Trim:      desk.Trim{CrossEl: degrees(0.10), El: degrees(-0.06), For: "5760 MHz, Moon", CanGoBack: true},
		BandIndex: 1, Power: desk.PowerOn, Moving: true, PermitRequested: true,
		Transmit: desk.Transmit{Permitted: true, Sequencer: desk.Receive, Since: at.Add(-36 * time.Second)},
		Link: desk.Link{State: desk.LinkGood, Heard: true, Port: "/dev/ttyUSB0", PerSecond: 10,
			Since: at.Add(-44 * time.Minute)},
		Noise:    desk.Noise{Fitted: true, Clean: true, LevelDB: 2.2, HasCold: true, ColdAt: at.Add(-2 * time.Hour)},
		Lateness: desk.Lateness{P50: 0.1, P99: 0.9, P999: 3, Ticks: 26000},
	}
	s.Band = s.Scene.Bands[1]
	s.Axes[0] = axis(116.53, 116.58, 0.004, 0.6)
	s.Axes[1] = axis(40.61, 40.62, 0, 0)
	s.Axes[1].Moving = false
	s.Referencing = desk.Referencing{Az: unit.AngleFromDeg(116.7), El: unit.AngleFromDeg(40.5), HasTarget: true}
	s.MotorStartsPerHour = [2]float64{38, 21}
	s.Readings = Readings(at)
	s.Switches = []desk.Switch{
		{Name: "End switches", Words: "clear"}, {Name: "Stop circuit", Words: "closed"},
		{Name: "Hand panel", Words: "off"}, {Name: "Door", Words: "shut"},
		{Name: "Transmitter", Words: "not keyed"},
	}
	s.Alarms = []desk.Alarm{{
		Number: 1, Grade: desk.Warning, Words: message.Text("Preamp relay supply 21.8 V, low limit 22.0 V"),
		Next:         message.Text("Look at the 24 V supply in the rack: the relay may not switch."),
		Since:        at.Add(-6 * time.Minute),
		Acknowledged: true, Stands: true,
	}}
	return s
}

func sources(at time.Time) []desk.RadioSource {
	return []desk.RadioSource{
		{Name: "Cas A", Words: "supernova remnant, fades by about 0.7 % a year", FluxJy: 594,
			Known: true, Up: true},
		{Name: "Cyg A", Words: "radio galaxy", FluxJy: 312, Known: true, Up: true,
			Rise: at.Add(26 * time.Hour), Set: at.Add(35 * time.Minute)},
		{Name: "Tau A", Words: "supernova remnant, the Crab", FluxJy: 597, Known: true, Up: true,
			Rise: at.Add(15*time.Hour + 50*time.Minute), Set: at.Add(7*time.Hour + 41*time.Minute)},
		{Name: "Vir A", Words: "radio galaxy M87", FluxJy: 64, Known: true, Rise: at.Add(58 * time.Minute),
			Set: at.Add(14 * time.Hour)},
		{Name: "Sgr A*", Words: "centre of the Galaxy", Known: true},
	}
}

func axis(is, commanded, rate, current float64) desk.Axis {
	return desk.Axis{
		Fitted: true, Trusted: true, Position: degrees(is), Setpoint: degrees(commanded), HasSetpoint: true,
		RatePerS: degrees(rate), Applied: 0.1, CurrentA: current, Moving: true,
		Origin:   message.Text("beam on the Sun"),
		OriginAt: Evening().Add(-144 * time.Minute), StepDeg: 0.0293, Estimated: rate != 0,
	}
}

func scene(at time.Time) *desk.Scene {
	return &desk.Scene{
		Arcs: []desk.Arc{arc(desk.Moon, "Moon", at, 54.3, 116, 303, 19*60),
			arc(desk.Sun, "Sun", at, 44.4, 106, 286, 12*60)},
		Structures: []desk.Structure{{Name: "mast", From: degrees(196), To: degrees(212), Min: degrees(24)}},
		Closed: []desk.Sector{{Name: "village", From: degrees(255), To: degrees(300), FromEl: 0,
			ToEl: degrees(12)}},
		SoftLow: [2]unit.Angle{degrees(-45), degrees(0)}, SoftHigh: [2]unit.Angle{degrees(405), degrees(86)},
		EndLow: [2]unit.Angle{degrees(-55), degrees(-2)}, EndHigh: [2]unit.Angle{degrees(415), degrees(90)},
		Bands: []desk.Band{
			{Name: "1296 MHz", MHz: 1296, Feed: "septum horn", Feeds: []string{"septum horn"}, HalfPower: degrees(2.9)},
			{Name: "5760 MHz", MHz: 5760, Feed: "dual-mode horn", Feeds: []string{"dual-mode horn"},
				HalfPower: degrees(0.65)},
		},
		Park:     desk.AxisAngles{Az: degrees(180), El: degrees(30)},
		WindStow: desk.AxisAngles{Az: degrees(180), El: degrees(85)},
		SnowStow: desk.AxisAngles{Az: degrees(180), El: degrees(5)},
		Horizon:  horizon(),
	}
}

func horizon() []unit.Angle {
	line := make([]unit.Angle, 360)
	for az := range line {
		a := float64(az)
		line[az] = degrees(2.5 + 1.5*math.Sin(a/17) + 1.2*math.Sin(a/7+1))
	}
	return line
}

// arc is a smooth invented way across the sky, highest at a minute of the day.
func arc(kind desk.BodyKind, name string, at time.Time, top, rise, span float64, highest int) desk.Arc {
	line := desk.Arc{Kind: kind, Name: name}
	noon := at.Truncate(24 * time.Hour).Add(time.Duration(highest) * time.Minute)
	for minute := -480; minute <= 480; minute += 10 {
		x := float64(minute) / 480
		line.Points = append(line.Points, desk.ArcPoint{
			At: noon.Add(time.Duration(minute) * time.Minute),
			Az: degrees(180 + x*(span-rise)/2*1.35), El: degrees(top * (1 - 1.04*x*x)),
		})
	}
	return line
}
