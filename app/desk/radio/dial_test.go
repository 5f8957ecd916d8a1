package radio

import (
	"math"
	"testing"
	"time"

	"beamhelm/app/desk/station"
	"beamhelm/app/settings"
	"beamhelm/assets"
	"beamhelm/ephem"
	"beamhelm/ephem/catalogue"
	"beamhelm/ephem/echo"
	"beamhelm/ephem/locator"
	"beamhelm/ephem/noise"
)

// at is when the Moon stands high at both stations.
var at = time.Date(2027, 4, 14, 16, 0, 1, 0, time.UTC)

// stationAt is a station with a radio side, on its first band.
func stationAt(t *testing.T, square, partners string, change func(*settings.Band)) (*station.Config, *State) {
	t.Helper()
	s := settings.Practice()
	lat, lon, _, _, err := locator.Parse(square)
	if err != nil {
		t.Fatal(err)
	}
	s.Station.LatitudeDeg, s.Station.LongitudeDeg, s.Station.HeightM = lat.Deg(), lon.Deg(), 0
	change(&s.Bands[0])
	sky, err := ephem.New(assets.Ephemeris(), station.SkyConfig(s.Clock))
	if err != nil {
		t.Fatal(err)
	}
	sources, err := catalogue.Parse(assets.Sources())
	if err != nil {
		t.Fatal(err)
	}
	c, err := station.NewConfig(s, sky, sources, true)
	if err != nil {
		t.Fatal(err)
	}
	if c.Galaxy, err = noise.ParseSky(assets.Sky408()); err != nil {
		t.Fatal(err)
	}
	state := New(&c, Kept{Partners: "name,locator,polarisation,note\n" + partners})
	state.SetPeriods(2, true)
	return &c, &state
}

// dialAt is the dial of a station at a moment.
func dialAt(t *testing.T, c *station.Config, s *State, at time.Time) Dial {
	t.Helper()
	s.Changed()
	out := Step(c, s, &Inputs{At: at})
	if out.Path == nil {
		t.Fatal("no path")
	}
	return out.Path.Dial
}

func middle(d Dial) time.Time { return d.From.Add(d.Until.Sub(d.From) / 2) }

// A radio on a transverter whose oscillators are off sends and hears somewhere else than it says: by the definition
// of offset and error, apart from the arithmetic of the product.
type set struct{ offsetMHz, errorHz float64 }

func (r set) trueHz(dialHz float64) float64 { return dialHz + r.offsetMHz*1e6 + r.errorHz }

// Two stations, each with its own transverter and its own oscillators, set their dials as their screens say. What
// one sends goes through the geometry and must arrive where the other's receiver really is; for each convention, both
// ways, and for the own echo. The periods are 2 s long, so that the figures are never more than 1 s old; at 1296 MHz
// the shift changes by less than 0.3 Hz in that time.
func TestACarrierArrivesWhereTheDialsSay(t *testing.T) {
	ours, theirs := set{1152, -340}, set{1268, 2150}
	here, our := stationAt(t, "IO85ma", "Quarry Ridge,FN42hn,circular,\n", func(b *settings.Band) {
		b.TransverterMHz, b.OscillatorErrorHz = ours.offsetMHz, ours.errorHz
	})
	there, their := stationAt(t, "FN42hn", "Cold Harbour Field,IO85ma,circular,\n", func(b *settings.Band) {
		b.TransverterMHz, b.OscillatorErrorHz = theirs.offsetMHz, theirs.errorHz
	})
	for _, s := range []*State{our, their} {
		if why := s.SetAgreed(&here.Settings.Bands[0], "1296.065"); why.Code != "" {
			t.Fatal(why)
		}
	}
	our.Chosen, their.Chosen = "Quarry Ridge", "Cold Harbour Field"
	mirror := map[echo.Convention]echo.Convention{echo.EachOwnLeg: echo.EachOwnLeg, echo.WeCorrect: echo.TheyCorrect,
		echo.TheyCorrect: echo.WeCorrect, echo.NobodyCorrects: echo.NobodyCorrects}
	for ourWay, theirWay := range mirror {
		our.SetConvention(int(ourWay))
		their.SetConvention(int(theirWay))
		sent := dialAt(t, here, our, at)
		out := echo.PathFrom(here.Sky, here.Site(), there.Site(), middle(sent))
		heard := dialAt(t, there, their, out.Received)
		if off := ours.trueHz(sent.TransmitHz)*out.Up*out.Down - theirs.trueHz(heard.ReceiveHz); math.Abs(off) > 0.4 {
			t.Errorf("%s: we arrive %.2f Hz beside the partner's receiver", ourWay, off)
		}
		sent = dialAt(t, there, their, at)
		back := echo.PathFrom(here.Sky, there.Site(), here.Site(), middle(sent))
		heard = dialAt(t, here, our, back.Received)
		if off := theirs.trueHz(sent.TransmitHz)*back.Up*back.Down - ours.trueHz(heard.ReceiveHz); math.Abs(off) > 0.4 {
			t.Errorf("%s: the partner arrives %.2f Hz beside our receiver", ourWay, off)
		}
		ownEchoArrives(t, here, our, ours, ourWay)
	}
}

// ownEchoArrives: with a partner where the screen says that the own echo will be, and without one on the receiver's
// dial.
func ownEchoArrives(t *testing.T, c *station.Config, s *State, radio set, way echo.Convention) {
	t.Helper()
	for _, partner := range []string{s.Chosen, ""} {
		was := s.Chosen
		s.Chosen = partner
		sent := dialAt(t, c, s, at)
		own := echo.PathFrom(c.Sky, c.Site(), c.Site(), middle(sent))
		heard := dialAt(t, c, s, own.Received)
		arrives := radio.trueHz(sent.TransmitHz) * own.Up * own.Down
		if off := arrives - radio.trueHz(heard.OwnEchoHz); math.Abs(off) > 0.4 {
			t.Errorf("%s, partner %q: the own echo is %.2f Hz beside where it is said to be", way, partner, off)
		}
		if off := arrives - radio.trueHz(heard.ReceiveHz); partner == "" && math.Abs(off) > 0.4 {
			t.Errorf("%s: the own echo is %.2f Hz beside the receiver", way, off)
		}
		// With the dial elsewhere, the line moves with it.
		read := Dialled{Has: true, ReceiveHz: heard.ReceiveHz + 1000, TransmitHz: sent.TransmitHz + 250}
		s.Changed()
		moved := Step(c, s, &Inputs{At: own.Received, Dialled: read}).Path.Dial
		if off := moved.OwnEchoOffHz - (heard.OwnEchoOffHz + 250 - 1000); math.Abs(off) > 0.4 {
			t.Errorf("%s: with the dial moved, the own echo is %.2f Hz beside where it is said to be", way, off)
		}
		s.Chosen = was
	}
}

// The figures stay the same for a period and are new in the next; without periods, and in very long ones, sooner.
func TestTheDialIsRenewedEachPeriod(t *testing.T) {
	for _, row := range []struct {
		periodS     int
		at          string
		from, until string
	}{
		{60, "16:00:59", "16:00:00", "16:01:00"},
		{60, "16:01:00", "16:01:00", "16:02:00"},
		{150, "16:02:10", "16:02:00", "16:02:30"},
		{15, "16:00:14", "16:00:00", "16:00:15"},
		{0, "16:00:09", "16:00:00", "16:00:10"},
	} {
		var s State
		if why := s.SetPeriods(row.periodS, true); why.Code != "" {
			t.Fatal(why)
		}
		clock := func(text string) time.Time {
			d, err := time.Parse("2006-01-02 15:04:05", "2027-04-14 "+text)
			if err != nil {
				t.Fatal(err)
			}
			return d
		}
		if from, until := s.dialSpan(clock(row.at)); !from.Equal(clock(row.from)) || !until.Equal(clock(row.until)) {
			t.Errorf("%d s at %s: %s to %s", row.periodS, row.at, from.Format("15:04:05"), until.Format("15:04:05"))
		}
	}
}

// Within a minute the shift changes by hertz: the figures are right in its middle, and say by how much they change.
func TestTheDialIsRightInTheMiddle(t *testing.T) {
	c, s := stationAt(t, "IO85ma", "Quarry Ridge,FN42hn,circular,\n", func(*settings.Band) {})
	s.SetPeriods(60, true)
	s.Chosen = "Quarry Ridge"
	d := dialAt(t, c, s, time.Date(2027, 4, 14, 20, 0, 55, 0, time.UTC))
	tune := func(second int) echo.Tuning {
		there, _ := s.Partner()
		return echo.Tune(c.Sky, c.Site(), there, 1296e6, echo.EachOwnLeg,
			time.Date(2027, 4, 14, 20, 0, second, 0, time.UTC))
	}
	if off := d.ReceiveAirHz - tune(30).ListenHz; math.Abs(off) > 0.01 {
		t.Errorf("%.2f Hz beside the middle's", off)
	}
	if want := tune(60).SendHz - tune(0).SendHz; math.Abs(d.TransmitChangeHz-want) > 0.01 || math.Abs(want) < 1 {
		t.Errorf("changes by %.2f Hz, expected %.2f", d.TransmitChangeHz, want)
	}
}

// A locator of four characters leaves the partner within a degree by two; what that does to the figures depends on the
// convention. The bound of the Earth's turning: half the diagonal of the square, 99 km, at 73 microradians a second.
func TestTheLocatorsSquare(t *testing.T) {
	c, s := stationAt(t, "IO85ma", "Quarry Ridge,FN42,circular,\n", func(*settings.Band) {})
	s.Chosen = "Quarry Ridge"
	const halfDiagonalKm, turn, lightKmS, hz = 99.0, 7.292e-5, 299792.458, 1296e6
	bound := hz * halfDiagonalKm * turn / lightKmS
	for _, row := range []struct {
		way           echo.Convention
		listen, sends bool
	}{{echo.EachOwnLeg, false, false}, {echo.WeCorrect, true, true}, {echo.TheyCorrect, false, false},
		{echo.NobodyCorrects, true, false}} {
		s.SetConvention(int(row.way))
		d := dialAt(t, c, s, at)
		for what, v := range map[string]struct {
			hz    float64
			known bool
		}{"listens": {d.ReceiveWithinHz, row.listen}, "sends": {d.TransmitWithinHz, row.sends}} {
			if v.known != (v.hz > 0.01) || v.hz > bound || v.known && v.hz < bound/20 {
				t.Errorf("%s, %s: within %.2f Hz, bound %.1f", row.way, what, v.hz, bound)
			}
		}
	}
}

func TestAgreedFrequency(t *testing.T) {
	c, s := stationAt(t, "IO85ma", "", func(*settings.Band) {})
	band := &c.Settings.Bands[0]
	for _, text := range []string{"144.1", "1,296,1", "x", "NaN", "-1296", "1e99"} {
		if why := s.SetAgreed(band, text); why.Code != "radio.agreed" || len(s.Agreed) != 0 {
			t.Errorf("%q: %q", text, why)
		}
	}
	if why := s.SetAgreed(band, " 1296,087 5 "); why.Code != "" || s.agreedHz(band) != 1296.0875e6 {
		t.Errorf("%q, %v", why, s.Agreed)
	}
	if again := New(c, s.Kept()); again.agreedHz(band) != 1296.0875e6 {
		t.Error("not kept")
	}
	if other := New(c, Kept{Agreed: []Agreed{{"1296 MHz", 5760}, {"none", 1296}}}); len(other.Agreed) != 0 {
		t.Errorf("took %v", other.Agreed)
	}
	if why := s.SetAgreed(band, ""); why.Code != "" || s.agreedHz(band) != 1296e6 {
		t.Errorf("%q, %v", why, s.Agreed)
	}
}
