//go:build window || planted

package endtoend

import (
	"encoding/csv"
	"fmt"
	"math"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"
)

// moonAt asks the program where the Moon is seen from a station at a moment:
// azimuth and elevation in degrees, with refraction.
func moonAt(t *testing.T, s station, at time.Time) (az, el float64) {
	t.Helper()
	out, err := exec.Command(binary, "place", "-target", "Moon", "-lat", fmt.Sprint(s.lat), "-lon", fmt.Sprint(s.lon),
		"-height", "100", "-at", at.UTC().Format(time.RFC3339Nano), "-csv").Output()
	if err != nil {
		t.Fatalf("asking for the Moon's place: %v", err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(out))).ReadAll()
	if err != nil || len(rows) != 2 {
		t.Fatalf("the Moon's place is not a header and a row: %v\n%s", err, out)
	}
	for i, name := range rows[0] {
		value, err := strconv.ParseFloat(rows[1][i], 64)
		switch {
		case name == "az_deg" && err == nil:
			az = value
		case name == "el_deg" && err == nil:
			el = value
		}
	}
	return az, el
}

// underTheMoon returns a station from which the Moon is well up and rising
// now, so that the test can be run at any time without a false clock.
func underTheMoon(t *testing.T) station {
	t.Helper()
	for lon := -180.0; lon < 180; lon += 15 {
		s := station{lat: 30, lon: lon}
		if az, el := moonAt(t, s, time.Now()); el > 30 && el < 60 && az > 60 && az < 170 {
			return s
		}
	}
	t.Fatal("from nowhere at 30 degrees north is the Moon at 30 to 60 degrees in the east")
	return station{}
}

// apart is the true angle between two directions, all in degrees.
func apart(az, el, otherAz, otherEl float64) float64 {
	const degree = math.Pi / 180
	sin := func(x float64) float64 { return math.Sin(x * degree) }
	cos := func(x float64) float64 { return math.Cos(x * degree) }
	half := sin((el-otherEl)/2)*sin((el-otherEl)/2) + cos(el)*cos(otherEl)*sin((az-otherAz)/2)*sin((az-otherAz)/2)
	return 2 * math.Asin(math.Sqrt(half)) / degree
}
