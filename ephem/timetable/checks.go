package timetable

import (
	"fmt"
	"time"

	"beamhelm/ephem/rows"

	"github.com/soniakeys/unit"
)

// degrees reads an angle within limits; its name depends on the kind of table.
func degrees(text string, least, most float64, equatorial bool, equatorialName, horizontalName string) (unit.Angle, error) {
	name := horizontalName
	if equatorial {
		name = equatorialName
	}
	x, err := rows.Number(text)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", name, err)
	}
	if x < least || x > most {
		return 0, fmt.Errorf("%s %v is not within %v to %v degrees", name, x, least, most)
	}
	return unit.AngleFromDeg(x), nil
}

// follows says what is wrong with one row after another.
func follows(last, at time.Time, apart unit.Angle) error {
	switch gap := at.Sub(last); {
	case gap <= 0:
		return fmt.Errorf("%s is not after the row before", at.Format(time.RFC3339Nano))
	case gap > MostGap:
		return fmt.Errorf("a gap of %v after the row before, at most %v", gap, MostGap)
	case apart > mostStep:
		return fmt.Errorf("%.1f degrees from the row before, at most 10: rows are missing, or these are not degrees", apart.Deg())
	}
	return nil
}
