package budget

import (
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"beamhelm/ephem"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/rows"

	"github.com/soniakeys/unit"
)

func deg(d float64) unit.Angle { return unit.AngleFromDeg(d) }

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.6g, want %.6g within %g", what, got, want, tolerance)
	}
}

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

func galaxy(t testing.TB) *noise.Sky {
	t.Helper()
	packed, err := os.ReadFile("../../assets/sky408/sky.bin.gz")
	if err != nil {
		t.Fatal(err)
	}
	g, err := noise.ParseSky(packed)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// figures are a row's by the names of the table.
func figures(r Row) map[string]float64 {
	a := r.Antenna
	return map[string]float64{
		"moon_el_deg": r.MoonEl.Deg(), "sun_off_deg": r.SunOff.Deg(), "g0_dbi": r.TransmitDBI,
		"hpbw_deg": r.HalfPower.Deg(),
		"eta_mb":   r.MainBeam,
		"t_sky_k":  a.SkyK, "t_moon_k": a.MoonK, "t_sun_k": a.SunK, "t_air_k": a.AirK, "t_ground_k": a.GroundK,
		"t_sys_k": r.SystemK,
		"path_db": r.PathDB, "air_db": r.AirDB, "filling_db": r.FillingDB, "pointing_db": r.PointingDB,
		"echo_dbm": r.EchoDBM, "cn0_dbhz": r.DensityDBHz,
		"snr_2500_db": r.In(2500), "snr_50_db": r.In(50), "spread_hz": r.SpreadHz, "cn0_spread_db": r.InSpread(),
	}
}

// answered are the columns of a file of questions with their answers.
func answered() rows.Columns {
	c := Columns()
	c.Required = append(c.Required, "refused", "kind")
	for name := range figures(Row{}) {
		c.Required = append(c.Required, name, "tol_"+name)
	}
	return c
}

// Source: testdata/authorities/budget.csv, which names its own.
func TestBudget(t *testing.T) {
	text, err := os.ReadFile("testdata/authorities/budget.csv")
	if err != nil {
		t.Fatal(err)
	}
	file, err := rows.ReadNamed(text, answered())
	if err != nil {
		t.Fatal(err)
	}
	s, g := sky(t), galaxy(t)
	compared := 0
	for _, row := range file.List {
		name := "row " + file.Field(row, "row") + ", " + file.Field(row, "kind") + ", "
		q, err := Ask(file, row)
		var got Row
		if err == nil {
			got, err = Answer(s, g, q)
		}
		if refused := file.Field(row, "refused") == "1"; refused != (err != nil) {
			t.Errorf("%srefused %v, error %v", name, refused, err)
			continue
		} else if refused {
			continue
		}
		for what, value := range figures(got) {
			want, _ := strconv.ParseFloat(file.Field(row, what), 64)
			tolerance, err := strconv.ParseFloat(file.Field(row, "tol_"+what), 64)
			if err != nil {
				t.Fatal(err)
			}
			compared++
			near(t, name+what, value, want, tolerance)
		}
	}
	if compared < 20*21 {
		t.Errorf("only %d figures were compared", compared)
	}
}

// What a rule can't answer is refused row by row, and says why; the rest is read.
func TestAskRefuses(t *testing.T) {
	const header = "row,lat_deg,lon_deg,height_m,utc,mhz,dish_m,eta,tx_w,trx_k,beam_deg,surface_mm,horizon,law,extra\n"
	const good = "1,40.2,-105.4,1600,2028-06-17T14:09:25Z,5760,2.4,0.6,120,55,,,,,x"
	read := func(line string) error {
		file, err := rows.ReadNamed([]byte("# a remark\n"+header+line+"\n"), Columns())
		if err != nil || len(file.List) != 1 {
			t.Fatalf("%s: %v", line, err)
		}
		q, err := Ask(file, file.List[0])
		if err == nil {
			_, err = Answer(sky(t), galaxy(t), q)
		}
		return err
	}
	if err := read(good); err != nil {
		t.Errorf("a good row: %v", err)
	}
	for name, change := range map[string][2]string{
		"latitude": {"40.2", "95"}, "a word": {"40.2", "north"}, "no number": {"0.6", "NaN"}, "empty": {"120", ""},
		"no power":   {"120", "0"},
		"efficiency": {"0.6", "1.2"}, "below its range": {"5760", "144"}, "above its range": {"5760", "24251"},
		"small dish": {"2.4", "0.3"},
		"wide beam":  {"55,,", "55,11,"}, "contradiction": {"55,,", "55,1.8,"}, "rough": {"55,,,", "55,,60,"},
		"time":               {"2028-06-17T14:09:25Z", "2028-06-17"},
		"behind the horizon": {"55,,,,", "55,,,0:70,"}, "horizon": {"55,,,,", "55,,,0-70,"},
		"law": {"55,,,,,", "55,,,,bright,"}, "too long": {",x", ",x,y"},
	} {
		if err := read(strings.Replace(good, change[0], change[1], 1)); err == nil {
			t.Errorf("%s has an answer", name)
		}
	}
}

func TestProfile(t *testing.T) {
	profile, err := Profile([]HorizonPoint{{deg(350), deg(2)}, {deg(90), deg(12)}, {deg(10), deg(4)}})
	if err != nil {
		t.Fatal(err)
	}
	for az, want := range map[float64]float64{350: 2, 10: 4, 0: 3, 360: 3, 50: 8, 90: 12, 220: 7, -5: 2.5} {
		near(t, "horizon", profile(deg(az)).Deg(), want, 1e-9)
	}
	// A survey that comes back to where it began.
	closed, err := Profile([]HorizonPoint{{deg(0), deg(3)}, {deg(90), deg(12)}, {deg(360).Mod1(), deg(3)}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "closed horizon", closed(deg(45)).Deg(), 7.5, 1e-9)
	near(t, "closed horizon", closed(deg(225)).Deg(), 7.5, 1e-9)
	if _, err := Profile([]HorizonPoint{{deg(10), 0}, {deg(10), deg(1)}}); err == nil {
		t.Error("an azimuth stands twice")
	}
}

// A row of a file of questions, worked out as finely as they are.
func BenchmarkAnswer(b *testing.B) {
	s, g := sky(b), galaxy(b)
	text, err := os.ReadFile("testdata/authorities/budget.csv")
	if err != nil {
		b.Fatal(err)
	}
	file, err := rows.ReadNamed(text, Columns())
	if err != nil {
		b.Fatal(err)
	}
	q, err := Ask(file, file.List[0])
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := Answer(s, g, q); err != nil {
			b.Fatal(err)
		}
	}
}
