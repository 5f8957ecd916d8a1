package timetable

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"beamhelm/ephem"
	"beamhelm/ephem/rows"

	"github.com/soniakeys/unit"
)

func sky(t testing.TB) *ephem.Sky {
	t.Helper()
	s, err := ephem.New(nil, ephem.Config{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

var (
	site  = ephem.Site{Lat: unit.AngleFromDeg(55), Lon: unit.AngleFromDeg(-3)}
	begin = time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
)

// A table of the Moon gives the Moon back between its rows.
func TestTableOfTheMoon(t *testing.T) {
	s, air := sky(t), ephem.DefaultAir()
	text := horizontal + "\n"
	for i := range 60 {
		at := begin.Add(time.Duration(i) * 2 * time.Minute)
		look := s.Look(site, ephem.MoonBody(), at)
		text += fmt.Sprintf("%s,%.6f,%.6f\n", at.Format(time.RFC3339), look.Az.Deg(), air.Refracted(look.El).Deg())
	}
	table, err := Read([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	first, last := table.Span()
	for at := first; !at.After(last); at = at.Add(17 * time.Second) {
		az, el, ok := table.Direction(s, site, air, at)
		look := s.Look(site, ephem.MoonBody(), at)
		// The first and the last step bend less than the sky, by a tenth of an arcminute.
		if apart := ephem.Separation(az, el, look.Az, air.Refracted(look.El)); !ok || apart.Deg() > 0.002 {
			t.Fatalf("%v: %.6f degrees off", at, apart.Deg())
		}
	}
	for _, outside := range []time.Time{first.Add(-1), last.Add(1)} {
		if _, _, ok := table.Direction(s, site, air, outside); ok {
			t.Errorf("a direction at %v, beyond the table", outside)
		}
	}
}

func TestEquatorialTable(t *testing.T) {
	s, air := sky(t), ephem.DefaultAir()
	table, err := Read([]byte(equatorial + "\n2027-04-14T16:00:00Z,359.5,10\n2027-04-14T16:10:00Z,0.5,10\n"))
	if err != nil {
		t.Fatal(err)
	}
	at := begin.Add(5 * time.Minute)
	az, el, ok := table.Direction(s, site, air, at)
	want := s.Look(site, ephem.Star("", 0, unit.AngleFromDeg(10)), at)
	if apart := ephem.Separation(az, el, want.Az, air.Refracted(want.El)); !ok || apart.Deg() > 0.001 {
		t.Errorf("over 0 h it is %.5f degrees off", apart.Deg())
	}
}

func TestOverNorthAndTheZenith(t *testing.T) {
	table, err := Read([]byte(horizontal + "\n2027-04-14T16:00:00Z,358,20\n2027-04-14T16:01:00Z,2,20\n2027-04-14T16:02:00Z,6,20\n"))
	if err != nil {
		t.Fatal(err)
	}
	az, _, _ := table.Direction(sky(t), site, ephem.Air{}, begin.Add(30*time.Second))
	if off := math.Abs(math.Remainder(az.Deg(), 360)); off > 0.01 {
		t.Errorf("between 358 and 2 it is at %v", az.Deg())
	}
	table, err = Read([]byte(horizontal + "\n2027-04-14T16:00:00Z,90,88\n2027-04-14T16:01:00Z,270,88\n"))
	if err != nil {
		t.Fatal(err)
	}
	if _, el, _ := table.Direction(sky(t), site, ephem.Air{}, begin.Add(30*time.Second)); el.Deg() < 89.999 {
		t.Errorf("over the zenith it is at %v", el.Deg())
	}
}

func TestReadRefuses(t *testing.T) {
	row := func(second, az, el string) string { return "2027-04-14T16:00:" + second + "Z," + az + "," + el + "\n" }
	for text, says := range map[string]string{
		"":            "1: empty",
		"utc,az,el\n": "1: the header",
		strings.ReplaceAll(horizontal, ",", ";") + "\n":                        "1: fields are separated by semicolons",
		"\xef\xbb\xbf" + horizontal + "\n":                                     "1: it begins with a byte-order mark",
		horizontal + "\n":                                                      "1: 0 rows",
		horizontal + "\n" + row("00", "1", "2"):                                "1: 1 rows",
		horizontal + "\n" + row("00", "1", "2") + row("00", "1", "2"):          "3: 2027-04-14T16:00:00Z is not after",
		horizontal + "\n" + row("10", "1", "2") + row("00", "1", "2"):          "3: 2027-04-14T16:00:00Z is not after",
		horizontal + "\n" + row("00", "361", "2"):                              "2: azimuth 361",
		horizontal + "\n" + row("00", "1", "91"):                               "2: elevation 91",
		horizontal + "\n" + row("00", "NaN", "9"):                              "2: azimuth: \"NaN\"",
		equatorial + "\n" + row("00", "-1", "9"):                               "2: right ascension -1",
		equatorial + "\n" + row("00", "12h30m", "9"):                           "2: right ascension: \"12h30m\"",
		equatorial + "\n" + row("00", "1", "-99"):                              "2: declination -99",
		horizontal + "\n" + row("00", "1", "2") + row("10", "30", "2"):         "3: 29.0 degrees from the row before",
		horizontal + "\n" + row("00", "1", "2") + "2027-04-14T16:10:01Z,1,2\n": "3: a gap of 10m1s",
		horizontal + "\nnoon,1,2\n":                                            "2: \"noon\" is not",
		horizontal + "\n" + row("00", "1", "2,3"):                              "2: 4 fields",
	} {
		_, err := Read([]byte(text))
		var place *rows.Error
		if err == nil || !errors.As(err, &place) || !strings.HasPrefix(err.Error(), says) {
			t.Errorf("%q: %v, want %s", text, err, says)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(horizontal + "\n2027-04-14T16:00:00Z,358,20\n2027-04-14T16:01:00Z,2,20\n"))
	f.Add([]byte(equatorial + "\r\n2027-04-14T16:00:00Z,1,-90\r\n2027-04-14T16:00:00.000000001Z,2,-90\r\n"))
	s := sky(f)
	f.Fuzz(func(t *testing.T, text []byte) {
		table, err := Read(text)
		if err != nil {
			return
		}
		first, last := table.Span()
		for _, at := range []time.Time{first, first.Add(last.Sub(first) / 3), last} {
			az, el, ok := table.Direction(s, site, ephem.Air{}, at)
			if !ok || math.IsNaN(az.Rad()) || math.Abs(el.Deg()) > 90+1e-9 {
				t.Errorf("at %v: %v, %v, %v", at, az.Deg(), el.Deg(), ok)
			}
		}
	})
}
