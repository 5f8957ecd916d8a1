package settings

import (
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
)

// maxHorizonBytes is the most of a horizon's file that is read: a point every
// hundredth of a degree, with words beside it.
const maxHorizonBytes = 2 << 20

// ParseHorizon reads a surveyed horizon: CSV of azimuth and elevation in
// degrees, a point a line, in any order; a heading and lines that begin with #
// are passed over. Of two points at the same azimuth the higher one counts.
func ParseHorizon(from io.Reader) ([]Point, error) {
	limited := &io.LimitedReader{R: from, N: maxHorizonBytes + 1}
	r := csv.NewReader(limited)
	r.Comment, r.FieldsPerRecord, r.TrimLeadingSpace = '#', -1, true
	at := map[float64]float64{}
	for first := true; ; first = false {
		fields, err := r.Read()
		if limited.N <= 0 {
			return nil, fmt.Errorf("the horizon: more than %d bytes", maxHorizonBytes)
		}
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("the horizon: %w", err)
		}
		line, _ := r.FieldPos(0)
		if len(fields) < 2 {
			return nil, fmt.Errorf("line %d: %q is no azimuth and elevation", line, strings.Join(fields, ","))
		}
		az, wrongAz := strconv.ParseFloat(strings.TrimSpace(fields[0]), 64)
		el, wrongEl := strconv.ParseFloat(strings.TrimSpace(fields[1]), 64)
		switch {
		case first && wrongAz != nil && wrongEl != nil:
			continue // a heading
		case wrongAz != nil || wrongEl != nil:
			return nil, fmt.Errorf("line %d: %q is no azimuth and elevation", line, strings.Join(fields[:2], ","))
		case !(az >= -360 && az <= 720):
			return nil, fmt.Errorf("line %d: azimuth %s; must be 0 to 360 degrees", line, number(az))
		case !(el >= -10 && el <= 90):
			return nil, fmt.Errorf("line %d: elevation %s; must be -10 to 90 degrees", line, number(el))
		}
		az = math.Mod(math.Mod(az, 360)+360, 360)
		if before, there := at[az]; !there || el > before {
			at[az] = el
		}
	}
	points := make([]Point, 0, len(at))
	for az, el := range at {
		points = append(points, Point{az, el})
	}
	slices.SortFunc(points, func(a, b Point) int { return cmp.Compare(a.AzDeg, b.AzDeg) })
	switch {
	case len(points) == 0:
		return nil, errors.New("no point of a horizon is in it")
	case len(points) > MaxHorizonPoints:
		return nil, fmt.Errorf("%d points; must be at most %d", len(points), MaxHorizonPoints)
	}
	return points, nil
}

// WithHorizonPoint is a horizon with one more point, azimuth 0 to 360. It takes
// the place of what stood within half a degree of it.
func WithHorizonPoint(points []Point, p Point) []Point {
	kept := slices.DeleteFunc(slices.Clone(points), func(q Point) bool {
		return math.Abs(math.Remainder(q.AzDeg-p.AzDeg, 360)) < 0.5
	})
	kept = append(kept, p)
	slices.SortFunc(kept, func(a, b Point) int { return cmp.Compare(a.AzDeg, b.AzDeg) })
	return kept
}

// WrittenHorizon is a horizon as it is typed for horizon.points.
func WrittenHorizon(points []Point) string {
	return listed(points, func(p Point) string { return "[" + number(p.AzDeg) + ", " + number(p.ElDeg) + "]" })
}
