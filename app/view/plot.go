package view

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"time"
)

// Plot is what a chart shows: measured points, and the curves that are laid through them or expected.
type Plot struct {
	// Title is what is drawn; Unit that of its figures, XUnit that of the figures beneath.
	Title, Unit, XUnit string
	// Dates says that the figures beneath are seconds of Unix time.
	Dates bool
	// Hours says that they are within a day: hours and minutes tell them.
	Hours bool
	// Decimals are those of what is read out, and XDecimals those of where.
	Decimals, XDecimals    int
	Left, Right, Low, High float64
	Series                 []Series
	Places                 []Place
	Shaded                 [][2]float64 // from and to beneath, marked faintly over the whole height
	// low alarm, low warning, high warning, high alarm; NaN or beyond the plot: not drawn; all zero: none
	Limits [4]float64
	None   string // said where there is nothing

	any bool // something was added that counts
}

// Series is one row of figures of a plot.
type Series struct {
	Name string
	X, Y []float64 // NaN in Y is a gap
	Top  []float64 // of a band from Y up to it; nil else
	// Error are the standard errors of Y, drawn as bars; nil: none.
	Error []float64
	Odd   []bool // left out of what was worked out from the rest; nil: none
	Look  Look
}

// Look is how a series is drawn.
type Look uint8

const (
	Curve Look = iota // a line, in the colour of what is commanded or expected
	Discs
	Rings
	Dots // small discs, of many points
	Band
)

// Place is an upright line of a plot, with its name: where the fit found the middle, or where it was.
type Place struct {
	X    float64
	Name string
	Was  bool // dashed and faint
}

// Has reports whether there is anything to draw.
func (p *Plot) Has() bool { return p.Right > p.Left && p.High > p.Low }

// Add adds a series, and widens the plot to what it holds, but for odd points.
func (p *Plot) Add(s Series) {
	p.Series = append(p.Series, s)
	for i, x := range s.X {
		if math.IsNaN(s.Y[i]) || s.Odd != nil && s.Odd[i] {
			continue
		}
		top := s.Y[i]
		if s.Top != nil {
			top = s.Top[i]
		}
		low := s.Y[i]
		if s.Error != nil {
			low, top = low-s.Error[i], top+s.Error[i]
		}
		if !p.any {
			p.Left, p.Right, p.Low, p.High, p.any = x, x, low, top, true
		}
		p.Left, p.Right = min(p.Left, x), max(p.Right, x)
		p.Low, p.High = min(p.Low, low), max(p.High, top)
	}
}

// Room widens the plot on all sides, by parts of what it spans and at least by so much.
func (p *Plot) Room(part, minX, minY float64) {
	if !p.any {
		return
	}
	x, y := max(part*(p.Right-p.Left), minX), max(part*(p.High-p.Low), minY)
	p.Left, p.Right, p.Low, p.High = p.Left-x, p.Right+x, p.Low-y, p.High+y
}

// Nearest is the place of a point that is drawn nearest to x; false where there is none.
func (p *Plot) Nearest(x float64) (at float64, ok bool) { return p.next(x, 0) }

// Beside is the place of the next point to the right of x, by 1, or to the left, by -1; false where there is none.
func (p *Plot) Beside(x float64, by int) (at float64, ok bool) { return p.next(x, by) }

func (p *Plot) next(x float64, by int) (at float64, ok bool) {
	for k := range p.Series {
		s := &p.Series[k]
		if s.Look == Curve && k > 0 {
			continue // a curve's own points are nothing that was measured
		}
		for i, v := range s.X {
			if math.IsNaN(s.Y[i]) || by != 0 && (v-x)*float64(by) <= 0 {
				continue
			}
			if !ok || math.Abs(v-x) < math.Abs(at-x) {
				at, ok = v, true
			}
		}
	}
	return at, ok
}

// nearPart is how far from a place, as a part of the plot, a series still tells of it.
const nearPart = 0.02

// ReadOut says what the plot shows at a place.
func (p *Plot) ReadOut(x float64) string {
	words := p.XWords(x)
	for k := range p.Series {
		s := &p.Series[k]
		best, away := -1, nearPart*(p.Right-p.Left)
		for i, v := range s.X {
			if d := math.Abs(v - x); d <= away && !math.IsNaN(s.Y[i]) {
				best, away = i, d
			}
		}
		if best < 0 {
			continue
		}
		words += ",  " + s.Name
		if s.Name != "" {
			words += " "
		}
		words += Number(s.Y[best], p.Decimals)
		if s.Error != nil {
			words += " ±" + Number(s.Error[best], p.Decimals)
		}
		if s.Top != nil && Number(s.Top[best], p.Decimals) != Number(s.Y[best], p.Decimals) {
			words += " to " + Number(s.Top[best], p.Decimals)
		}
		words += Spaced(p.Unit)
	}
	return words
}

// XWords are the words of a place: a moment of UTC, or a figure.
func (p *Plot) XWords(x float64) string {
	switch {
	case p.Dates && p.Hours:
		return HourMinute(UnixTime(x)) + " UTC"
	case p.Dates:
		return UnixTime(x).Format("2 Jan 2006 15:04:05") + " UTC"
	}
	return Number(x, p.XDecimals) + Spaced(p.XUnit)
}

// Spaced is a unit behind a figure: with a space, but for degrees.
func Spaced(unit string) string {
	if unit == "" || unit == "°" {
		return unit
	}
	return " " + unit
}

// UnixTime is the moment of seconds of Unix time.
func UnixTime(seconds float64) time.Time {
	whole := math.Floor(seconds)
	return time.Unix(int64(whole), int64((seconds-whole)*1e9)).UTC()
}

// UnixSeconds are the seconds of Unix time of a moment.
func UnixSeconds(at time.Time) float64 { return float64(at.UnixMilli()) / 1000 }

// Table is what is drawn as CSV (RFC 4180): a line for each point.
func (p *Plot) Table() ([]byte, error) {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.UseCRLF = true
	x := "x"
	if p.Dates {
		x = "at_utc"
	} else if p.XUnit != "" {
		x = "x_" + p.XUnit
	}
	_ = w.Write([]string{"series", x, "y", "y_most", "y_error", "unit", "excluded"}) // a buffer takes everything
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', 10, 64) }
	for k := range p.Series {
		s := &p.Series[k]
		for i, v := range s.X {
			if math.IsNaN(s.Y[i]) {
				continue
			}
			at, maximum, within, odd := number(v), "", "", "no"
			if p.Dates {
				at = UnixTime(v).Format(time.RFC3339)
			}
			if s.Top != nil {
				maximum = number(s.Top[i])
			}
			if s.Error != nil {
				within = number(s.Error[i])
			}
			if s.Odd != nil && s.Odd[i] {
				odd = "yes"
			}
			_ = w.Write([]string{s.Name, at, number(s.Y[i]), maximum, within, p.Unit, odd})
		}
	}
	w.Flush()
	return out.Bytes(), w.Error()
}
