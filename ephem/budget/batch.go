package budget

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/ephem"
	"beamhelm/ephem/echo"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/rows"
)

// What the formulas hold for: the side lobes are stretched below 1 GHz, and below 400 MHz the sky's index
// and the ionosphere are others; above, the air isn't known.
const (
	minMHz, maxMHz = 400, 24250
	minWaves       = 7  // diameter over wavelength
	maxBeamDeg     = 10 // half-power width
)

// Columns are those of a file of questions.
func Columns() rows.Columns {
	return rows.Columns{
		Required: []string{"row", "lat_deg", "lon_deg", "height_m", "utc", "mhz", "dish_m", "eta", "tx_w", "trx_k"},
		Optional: []string{"beam_deg", "surface_mm", "offset_xel_deg", "offset_el_deg", "tx_loss_db", "rx_loss_db",
			"pol_loss_db", "sun_sfu", "horizon", "law"},
	}
}

// reader takes numbers from a row and keeps the first mistake.
type reader struct {
	file *rows.Named
	row  rows.Row
	err  error
}

// number is a number within limits; where the field is blank, what stands in for it: NaN for nothing.
func (r *reader) number(name string, blank, minimum, maximum float64) float64 {
	text := r.file.Field(r.row, name)
	x := blank
	if text != "" {
		var err error
		if x, err = rows.Number(text); err != nil {
			r.fail("%s: %v", name, err)
			return math.NaN()
		}
	} else if math.IsNaN(blank) {
		r.fail("%s is empty", name)
		return x
	}
	if !(x >= minimum && x <= maximum) {
		r.fail("%s %v is not within %v to %v", name, x, minimum, maximum)
	}
	return x
}

func (r *reader) fail(format string, values ...any) {
	if r.err == nil {
		r.err = fmt.Errorf(format, values...)
	}
}

// above is a number that must be more than 0.
func (r *reader) above(name string, blank, maximum float64) float64 {
	x := r.number(name, blank, 0, maximum)
	if x == 0 && !(blank == 0) {
		r.fail("%s must be above 0", name)
	}
	return x
}

// Ask reads a question from a row of a file; its error says why the row has no answer.
func Ask(file *rows.Named, row rows.Row) (Question, error) {
	if row.Err != nil {
		return Question{}, row.Err
	}
	r := &reader{file: file, row: row}
	nothing, many := math.NaN(), 1e9
	q := Question{}
	q.Site = ephem.Site{
		Lat:     unit.AngleFromDeg(r.number("lat_deg", nothing, -90, 90)),
		Lon:     unit.AngleFromDeg(r.number("lon_deg", nothing, -180, 360)),
		HeightM: r.number("height_m", nothing, -500, 100_000),
	}
	q.At = r.instant("utc")
	q.Dish = noise.Dish{
		Hz: r.number("mhz", nothing, minMHz, maxMHz) * 1e6, DiameterM: r.above("dish_m", nothing, many),
		Efficiency: r.above("eta", nothing, 1),
		HalfPower:  unit.AngleFromDeg(r.number("beam_deg", 0, 0, maxBeamDeg+1e-9)),
		SurfaceM:   r.number("surface_mm", 0, 0, many) / 1000,
	}
	q.OffsetCross = unit.AngleFromDeg(r.number("offset_xel_deg", 0, -90, 90))
	q.OffsetEl = unit.AngleFromDeg(r.number("offset_el_deg", 0, -90, 90))
	q.TransmitW, q.TransmitLossDB = r.above("tx_w", nothing, many), r.number("tx_loss_db", 0, 0, many)
	q.Receiver = noise.Receiver{NoiseK: r.number("trx_k", nothing, 0, many), LossDB: r.number("rx_loss_db", 0, 0, many)}
	q.PolarisationDB = r.number("pol_loss_db", 0, 0, many)
	q.SolarFlux = nothing
	if r.file.Field(row, "sun_sfu") != "" {
		q.SolarFlux = r.number("sun_sfu", 0, 0, many) * noise.SolarFluxUnit
	}
	q.Horizon, q.Law = r.horizon("horizon"), r.law("law")
	if waves := q.Dish.DiameterM * q.Dish.Hz / lightMps; waves < minWaves-1e-9 {
		r.fail("the dish is %.2f wavelengths wide, at least %d are needed", waves, minWaves)
	}
	return q, r.err
}

const lightMps = 299_792_458.0

func (r *reader) instant(name string) time.Time {
	at, err := rows.Instant(r.file.Field(r.row, name))
	if err != nil {
		r.fail("%s: %v", name, err)
	}
	return at
}

func (r *reader) law(name string) echo.Scattering {
	switch text := r.file.Field(r.row, name); text {
	case "", "centre":
	case "uniform":
		return echo.EvenDisc
	default:
		r.fail("%s %q is not centre or uniform", name, text)
	}
	return echo.CentreBright
}

// horizon reads points az:el;az:el, straight lines between them in azimuth, closed over north.
func (r *reader) horizon(name string) func(unit.Angle) unit.Angle {
	text := r.file.Field(r.row, name)
	if text == "" {
		return nil
	}
	var points []HorizonPoint
	for word := range strings.SplitSeq(strings.TrimSuffix(text, ";"), ";") {
		first, second, pair := strings.Cut(word, ":")
		az, azErr := rows.Number(strings.TrimSpace(first))
		el, elErr := rows.Number(strings.TrimSpace(second))
		if !pair || azErr != nil || elErr != nil || !(az >= -360 && az <= 720) || !(el >= -90 && el <= 90) {
			r.fail("%s: %q is not azimuth:elevation in degrees", name, word)
			return nil
		}
		points = append(points, HorizonPoint{unit.AngleFromDeg(az).Mod1(), unit.AngleFromDeg(el)})
	}
	profile, err := Profile(points)
	if err != nil {
		r.fail("%s: %v", name, err)
	}
	return profile
}

// HorizonPoint is a point of a surveyed horizon.
type HorizonPoint struct{ Az, El unit.Angle }

// Profile joins points by straight lines in azimuth, around the circle; one point is a level horizon. The same point
// may stand twice, as at 0 and at 360 degrees; two elevations at one azimuth may not.
func Profile(points []HorizonPoint) (func(az unit.Angle) unit.Angle, error) {
	if len(points) == 0 {
		return nil, errors.New("no points")
	}
	points = slices.Clone(points)
	slices.SortFunc(points, func(a, b HorizonPoint) int {
		switch {
		case a.Az < b.Az:
			return -1
		case a.Az > b.Az:
			return 1
		}
		return 0
	})
	points = slices.Compact(points)
	for i := 1; i < len(points); i++ {
		if points[i].Az == points[i-1].Az {
			return nil, fmt.Errorf("azimuth %.6g° stands twice, with different elevations", points[i].Az.Deg())
		}
	}
	return func(az unit.Angle) unit.Angle {
		az = az.Mod1()
		n := len(points)
		i, _ := slices.BinarySearchFunc(points, az, func(p HorizonPoint, az unit.Angle) int {
			if p.Az <= az {
				return -1
			}
			return 1
		})
		a, b := points[(i+n-1)%n], points[i%n]
		span := (b.Az - a.Az).Mod1()
		if span == 0 {
			return a.El
		}
		return a.El + (b.El - a.El).Mul((az-a.Az).Mod1().Rad()/span.Rad())
	}, nil
}
