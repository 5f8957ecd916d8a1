package echo

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"beamhelm/ephem"
	"beamhelm/ephem/space"

	"github.com/soniakeys/unit"
)

func deg(d float64) unit.Angle { return unit.AngleFromDeg(d) }

func sky(t testing.TB) *ephem.Sky {
	t.Helper()
	packed, err := os.ReadFile("../../assets/ephemeris/de405.pack")
	if err != nil {
		t.Fatal(err)
	}
	s, err := ephem.New(packed, ephem.Config{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.9g, want %.9g within %g", what, got, want, tolerance)
	}
}

// rows reads a CSV file into rows of numbers by column name; words become NaN.
func rows(t *testing.T, name string) []map[string]float64 {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	lines, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var all []map[string]float64
	for _, line := range lines[1:] {
		row := map[string]float64{}
		for i, title := range lines[0] {
			row[title] = math.NaN()
			if x, err := strconv.ParseFloat(line[i], 64); err == nil {
				row[title] = x
			} else if at, err := time.Parse(time.RFC3339, line[i]); err == nil {
				row[title] = float64(at.Unix())
			}
		}
		all = append(all, row)
	}
	return all
}

var (
	coldHarbour = ephem.Site{Lat: deg(55.02), Lon: deg(-2.96), HeightM: 190}
	adelaide    = ephem.Site{Lat: deg(-34.9), Lon: deg(138.6), HeightM: 50}
	boston      = ephem.Site{Lat: deg(42.3), Lon: deg(-71.1), HeightM: 30}
	equatorial  = ephem.Site{Lat: deg(0), Lon: deg(36), HeightM: 1800}
)

// Source: ../testdata/moon_sun_places.csv: Doppler at 1296 MHz by the range rate of JPL DE431 a
// light time before reception, delay as twice the geometric distance at reception.
func TestOwnEchoAgainstPlaces(t *testing.T) {
	s := sky(t)
	var hz, seconds float64
	count := 0
	for _, row := range rows(t, "../testdata/moon_sun_places.csv") {
		if math.IsNaN(row["echo_delay_s"]) {
			continue
		}
		count++
		site := ephem.Site{Lat: deg(row["lat_deg"]), Lon: deg(row["lon_deg"]), HeightM: row["height_m"]}
		p := PathTo(s, site, site, time.Unix(int64(row["utc"]), 0))
		hz = max(hz, math.Abs(p.DopplerHz(1296e6)-row["echo_doppler_1296mhz_hz"]))
		seconds = max(seconds, math.Abs(p.DelayS()-row["echo_delay_s"]))
	}
	t.Logf("%d rows: Doppler within %.5f Hz, delay within %.3g s", count, hz, seconds)
	if count != 360 || hz > 0.01 || seconds > 6e-6 {
		t.Errorf("%d rows: Doppler %.5f Hz and delay %.3g s off", count, hz, seconds)
	}
}

// Identity: what is received differs in frequency as a second sent differs from a second
// received. The delay is an integral of positions alone; no velocity enters.
func TestDopplerIsTheRateOfTheDelay(t *testing.T) {
	s := sky(t)
	const hz = 24048e6
	for _, sites := range [][2]ephem.Site{{coldHarbour, coldHarbour}, {adelaide, coldHarbour}, {boston, equatorial},
		{equatorial, adelaide}} {
		for at := time.Date(2026, 2, 1, 3, 0, 0, 0, time.UTC); at.Year() == 2026; at = at.Add(211 * time.Hour) {
			p := PathTo(s, sites[0], sites[1], at)
			const half = 4 * time.Second
			before, later := PathTo(s, sites[0], sites[1], at.Add(-half)), PathTo(s, sites[0], sites[1], at.Add(half))
			slope := (later.DelayS() - before.DelayS()) / (2 * half.Seconds())
			near(t, "Doppler at 24 GHz", p.DopplerHz(hz), -slope*hz, 0.02)
			near(t, "time under way", p.Received.Sub(p.Sent).Seconds(), p.DelayS(), 2e-9)
		}
	}
}

// The exact form of an own echo with the range rate at the bounce, f((1-v/c)/(1+v/c)-1).
func TestOwnDopplerAtTheBounce(t *testing.T) {
	s := sky(t)
	for at := time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC); at.Month() < 4; at = at.Add(5 * time.Hour) {
		p := PathTo(s, coldHarbour, coldHarbour, at)
		v := s.Look(coldHarbour, ephem.MoonBody(), p.Bounced).RangeRateMps / lightMps
		near(t, "Doppler at 24 GHz", p.DopplerHz(24048e6), 24048e6*((1-v)/(1+v)-1), 0.1)
	}
}

// The receiving site's rate counts at reception, the sending site's at sending: with both at the
// bounce the mutual Doppler between these two would be wrong by up to 5 Hz at 24 GHz (computed).
func TestMutualDopplerIsNotAtTheBounce(t *testing.T) {
	s := sky(t)
	worst := 0.0
	for at := time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC); at.Month() < 2; at = at.Add(time.Hour) {
		p := PathTo(s, equatorial, adelaide, at)
		there := s.Look(equatorial, ephem.MoonBody(), p.Bounced).RangeRateMps
		here := s.Look(adelaide, ephem.MoonBody(), p.Bounced).RangeRateMps
		worst = max(worst, math.Abs(p.DopplerHz(24048e6)-24048e6*((1-here/lightMps)/(1+there/lightMps)-1)))
		// With each at its own instant little is left: the Moon's own change in between.
		there = s.Look(equatorial, ephem.MoonBody(), p.Sent).RangeRateMps
		here = s.Look(adelaide, ephem.MoonBody(), p.Received).RangeRateMps
		near(t, "mutual Doppler at 24 GHz", p.DopplerHz(24048e6), 24048e6*((1-here/lightMps)/(1+there/lightMps)-1), 0.3)
	}
	if worst < 2 || worst > 6 {
		t.Errorf("both at the bounce would be %.2f Hz off", worst)
	}
}

func TestPathFrom(t *testing.T) {
	s, sent := sky(t), time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	p := PathFrom(s, coldHarbour, boston, sent)
	if p.Sent.Sub(sent).Abs() > 2*time.Nanosecond {
		t.Errorf("sent at %v, want %v", p.Sent, sent)
	}
	if p.Received.Sub(sent) < 2300*time.Millisecond || p.Received.Sub(sent) > 2800*time.Millisecond {
		t.Errorf("under way %v", p.Received.Sub(sent))
	}
}

// Rising in the east the Moon comes nearer and the echo is higher (common practice, no source).
func TestSignOfTheDoppler(t *testing.T) {
	s := sky(t)
	for at := time.Date(2027, 4, 14, 0, 0, 0, 0, time.UTC); at.Day() < 16; at = at.Add(10 * time.Minute) {
		look := s.Look(coldHarbour, ephem.MoonBody(), at)
		east := look.Az.Deg() > 60 && look.Az.Deg() < 150
		west := look.Az.Deg() > 210 && look.Az.Deg() < 300
		doppler := PathTo(s, coldHarbour, coldHarbour, at).DopplerHz(1296e6)
		if look.El > 0 && (east && doppler < 0 || west && doppler > 0) {
			t.Errorf("%v: azimuth %.1f, Doppler %.1f Hz", at, look.Az.Deg(), doppler)
		}
	}
	// The drift is negative while it passes (computed: up to 199 Hz a minute at latitude 50 and 24 GHz).
	drift := DriftHzPerS(s, coldHarbour, coldHarbour, 24048e6, time.Date(2027, 4, 14, 19, 0, 0, 0, time.UTC)) * 60
	if drift > -100 || drift < -200 {
		t.Errorf("drift %.1f Hz a minute near the meridian", drift)
	}
}

// With each correcting the own leg, the Moon gets the agreed frequency from both, and at
// the ear the partner's signal and the own echo stand where one listens.
func TestEachOwnLeg(t *testing.T) {
	s, at := sky(t), time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	const agreed = 10368e6
	ours := Tune(s, coldHarbour, boston, agreed, EachOwnLeg, at)
	up := PathFrom(s, coldHarbour, boston, at)
	near(t, "at the Moon", ours.SendHz*up.Up-agreed, 0, 1e-4)
	// At the partner's ear, listening by the same convention when it arrives.
	theirs := Tune(s, boston, coldHarbour, agreed, EachOwnLeg, up.Received)
	near(t, "at the partner's ear", ours.SendHz*up.Up*up.Down-theirs.ListenHz, 0, 0.01)
	// And the rest, between where one listens and the agreed frequency, is one leg.
	v := s.Look(coldHarbour, ephem.MoonBody(), at).RangeRateMps
	near(t, "listen", ours.ListenHz-agreed, -agreed*v/lightMps, 0.5)
	echo := PathTo(s, coldHarbour, coldHarbour, at)
	own := Tune(s, coldHarbour, boston, agreed, EachOwnLeg, echo.Sent)
	near(t, "the own echo", own.SendHz*echo.Up*echo.Down-ours.ListenHz, 0, 0.01)
}

// A carrier is sent through the geometry: set where one station's tuning says when it leaves, it must
// arrive where the other's says when it arrives; for each convention, both ways, and for the own echo.
// Each station names the convention from its own side: where we correct, the partner says that the other does.
func TestCarrierArrivesWhereItIsListenedFor(t *testing.T) {
	s := sky(t)
	mirror := map[Convention]Convention{EachOwnLeg: EachOwnLeg, WeCorrect: TheyCorrect, TheyCorrect: WeCorrect,
		NobodyCorrects: NobodyCorrects}
	for _, agreed := range []float64{1296e6, 10368e6} {
		for ours, theirs := range mirror {
			for hour := 12; hour < 20; hour += 3 {
				at := time.Date(2027, 4, 14, hour, 0, 0, 0, time.UTC)
				out := PathFrom(s, coldHarbour, boston, at)
				sent := Tune(s, coldHarbour, boston, agreed, ours, at).SendHz
				heard := Tune(s, boston, coldHarbour, agreed, theirs, out.Received).ListenHz
				near(t, ours.String()+": at the partner's", sent*out.Up*out.Down-heard, 0, 0.01)
				back := PathTo(s, boston, coldHarbour, at)
				sent = Tune(s, boston, coldHarbour, agreed, theirs, back.Sent).SendHz
				heard = Tune(s, coldHarbour, boston, agreed, ours, at).ListenHz
				near(t, ours.String()+": from the partner", sent*back.Up*back.Down-heard, 0, 0.01)
				echo := PathTo(s, coldHarbour, coldHarbour, at)
				sent = TuneOwn(s, coldHarbour, agreed, ours, echo.Sent).SendHz
				heard = TuneOwn(s, coldHarbour, agreed, ours, at).ListenHz
				near(t, ours.String()+": the own echo", sent*echo.Up*echo.Down-heard, 0, 0.01)
			}
		}
	}
}

// What the words of each convention promise, of an own echo and of a partner's signal.
func TestConventionsKeepTheirWords(t *testing.T) {
	s, at := sky(t), time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	const agreed = 10368e6
	own := PathTo(s, coldHarbour, coldHarbour, at)
	we, they := TuneOwn(s, coldHarbour, agreed, WeCorrect, at), TuneOwn(s, coldHarbour, agreed, TheyCorrect, at)
	near(t, "this station corrects: the echo lands", we.ListenHz, agreed, 1e-3)
	near(t, "the partner would: the echo lands", they.ListenHz-agreed, own.DopplerHz(agreed), 1e-3)
	near(t, "the partner would: send", they.SendHz, agreed, 0)
	if they := Tune(s, coldHarbour, boston, agreed, TheyCorrect, at); they.ListenHz != agreed || they.SendHz != agreed {
		t.Errorf("the partner corrects: %+v", they)
	}
	nobody := Tune(s, coldHarbour, boston, agreed, NobodyCorrects, at)
	near(t, "nobody: listen", nobody.ListenHz-agreed, PathTo(s, boston, coldHarbour, at).DopplerHz(agreed), 1e-3)
	near(t, "nobody: send", nobody.SendHz, agreed, 0)
}

// Source: the radar equation with 1737.4 km and 0.065, worked out apart (computed); published round
// values are 252, 261 and 271 dB at 144, 432 and 1296 MHz.
func TestLoss(t *testing.T) {
	for _, row := range []struct{ mhz, perigee, mean, apogee float64 }{
		{144, 251.12, 252.10, 253.03}, {432, 260.66, 261.64, 262.57}, {1296, 270.20, 271.18, 272.11},
		{5760, 283.16, 284.14, 285.07}, {10368, 288.27, 289.25, 290.17}, {24048, 295.57, 296.55, 297.48},
	} {
		for km, want := range map[float64]float64{363300: row.perigee, 384400: row.mean, 405500: row.apogee} {
			near(t, "loss", LossDB(row.mhz*1e6, km, km), want, 0.01)
		}
	}
	near(t, "apogee over perigee", AbovePerigeeDB(405500), 1.91, 0.01)
	near(t, "two stations", LossDB(1296e6, 363300, 405500), (270.20+272.11)/2, 0.01)
}

// At the mean perigee it is nothing, wherever the station and however high the Moon stands.
func TestAbovePerigeeIsTheMoonsOwn(t *testing.T) {
	s := sky(t)
	for hour := range 24 {
		at := time.Date(2027, 4, 14, hour, 0, 0, 0, time.UTC)
		_, _, km := s.Geocentric(ephem.MoonBody(), at)
		q := Question{Here: coldHarbour, Hz: 1296e6, There: boston, HasPartner: true}
		r := ReportAt(s, galaxy(t), q, at)
		near(t, "own", r.Own.AbovePerigeeDB, 40*math.Log10(km/PerigeeKm), 1e-4)
		near(t, "with a partner", r.Mutual.AbovePerigeeDB, r.Own.AbovePerigeeDB, 1e-4)
	}
}

func TestAboveBestOfMonth(t *testing.T) {
	s := sky(t)
	minimum, maximum := math.Inf(1), 0.0
	for day := range 28 {
		above := AboveBestOfMonthDB(s, time.Date(2027, 4, 1+day, 0, 0, 0, 0, time.UTC))
		minimum, maximum = min(minimum, above), max(maximum, above)
	}
	// From perigee to apogee it is 1.9 dB at the mean, 2.3 dB at the most (computed).
	if minimum < 0 || minimum > 0.02 || maximum < 1.5 || maximum > 2.4 {
		t.Errorf("over a month from %.3f to %.3f dB", minimum, maximum)
	}
}

func TestPolarisation(t *testing.T) {
	s, at := sky(t), time.Date(2027, 4, 14, 18, 0, 0, 0, time.UTC)
	if own := Polarisation(s, coldHarbour, coldHarbour, at); own != 0 {
		t.Errorf("to oneself %v", own.Deg())
	}
	there, back := Polarisation(s, coldHarbour, boston, at).Deg(), Polarisation(s, boston, coldHarbour, at).Deg()
	near(t, "there and back", there+back, 0, 1e-9)
	for from, want := range map[float64]float64{90: 90, -90: 90, 91: -89, 180: 0, -179: 1, 270: 90, 359: -1, 44: 44} {
		near(t, "folded", foldHalf(deg(from)).Deg(), want, 1e-9)
	}
	// Losses of angles (computed): 82.54, 25.01, 19.60 and 76.58 degrees.
	for angle, want := range map[float64]float64{82.54: 17.7, 25.01: 0.85, 19.60: 0.52, 76.58: 12.7, 0: 0} {
		near(t, "loss", PolarisationLossDB(deg(angle)), want, 0.05)
	}
	if loss := PolarisationLossDB(deg(90)); loss < 300 {
		t.Errorf("across: %v dB", loss)
	}
}

// Source: J. Meeus, Astronomical Algorithms, 2nd edition, example 53.a: on 1992 April 12 at
// 0 h TD the middle of the disc is at -1.23 degrees longitude, +4.20 latitude, seen from the Earth's centre.
func TestOrientationAgainstMeeus(t *testing.T) {
	s, err := ephem.New(nil, ephem.Config{})
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(1992, 4, 12, 0, 0, 0, 0, time.UTC).Add(-59184 * time.Millisecond)
	moon, rate := s.MoonAt(at)
	axes := orientation(at)
	centre := axes.Of(moon.Minus(rate.Times(1.23)).Times(-1))
	along, up := centre.Spherical()
	near(t, "longitude", math.Remainder(along.Deg(), 360), -1.23, 0.015)
	// His physical librations are those of the principal axes, 0.03 degree off the mean ones.
	near(t, "latitude", up.Deg(), 4.20, 0.03)
}

// Source: the librations of JPL DE405 and ERFA, by testdata/authorities/librations.py.
func TestSpreadAgainstLibrations(t *testing.T) {
	s := sky(t)
	own, both, apart := 0.0, 0.0, 0.0
	list := rows(t, "testdata/authorities/librations.csv")
	for _, row := range list {
		here := ephem.Site{Lat: deg(row["lat1"]), Lon: deg(row["lon1"]), HeightM: row["height1"]}
		there := ephem.Site{Lat: deg(row["lat2"]), Lon: deg(row["lon2"]), HeightM: row["height2"]}
		at := time.Unix(int64(row["unix_s"]), 0)
		apart = max(apart, space.Angle(seenFrom(s, here, at),
			space.Direction(deg(row["along1_deg"]), deg(row["up1_deg"]))).Deg())
		const perRadian = 2 * 1_737_400 * 24048e6 / 299_792_458
		own = max(own, math.Abs(SpreadHz(s, here, here, 24048e6, at)-row["turn_own_rad_s"]*perRadian))
		both = max(both, math.Abs(SpreadHz(s, here, there, 24048e6, at)-row["turn_both_rad_s"]*perRadian))
	}
	t.Logf("%d rows at 24 GHz: own within %.3f Hz, mutual within %.3f Hz, orientation within %.4f degrees", len(list),
		own, both, apart)
	// The principal axes stand 0.022 and 0.018 degree from the mean ones (JPL: 79″ and 66″).
	if len(list) != 120 || own > 0.15 || both > 0.15 || apart > 0.032 {
		t.Errorf("at 24 GHz own %.3f Hz, mutual %.3f Hz off, orientation %.4f degrees", own, both, apart)
	}
}

// One degree a day is 6.07 Hz limb to limb at 1296 MHz, and the spread grows with
// frequency (computed); both sites at one place make the own echo.
func TestSpreadScale(t *testing.T) {
	s, at := sky(t), time.Date(2027, 4, 14, 18, 0, 0, 0, time.UTC)
	turn := turning(s, coldHarbour, at).Length() / (math.Pi / 180 / 86400) // degrees a day
	near(t, "own spread", SpreadHz(s, coldHarbour, coldHarbour, 1296e6, at), 6.07*turn, 0.003*turn)
	beside := coldHarbour
	beside.HeightM += 0.001
	near(t, "two sites at one place", SpreadHz(s, coldHarbour, beside, 1296e6, at), 6.07*turn, 0.003*turn)
	if axes := orientation(at); math.Abs(axes.X.Dot(axes.Y)) > 1e-14 ||
		axes.X.Cross(axes.Y).Minus(axes.Z).Length() > 1e-14 {
		t.Errorf("the axes are not at right angles: %+v", axes)
	}
	if v := seenFrom(s, coldHarbour, at); space.Angle(v, space.Vector{X: 1}).Deg() > 12 {
		t.Errorf("the Moon turns its back: %v", v)
	}
}
