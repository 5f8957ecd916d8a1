package view

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/soniakeys/unit"
)

// The readers of what the operator types. Each takes the true minus sign and a
// comma for the point as well, and says in one line what it would have taken.

// ParseAngle reads degrees between least and most.
func ParseAngle(text string, minimum, maximum float64) (unit.Angle, error) {
	degrees, err := strconv.ParseFloat(tidy(text), 64)
	if err != nil || !(degrees >= minimum && degrees <= maximum) {
		return 0, fmt.Errorf("degrees from %s to %s", short(minimum), short(maximum))
	}
	return unit.AngleFromDeg(degrees), nil
}

// ParseRA reads a right ascension: "12 34 56.7" is hours, minutes and seconds,
// a single number is degrees, 0 to 360.
func ParseRA(text string) (unit.Angle, error) {
	expected := errors.New("12 34 56.7 (h m s), or degrees from 0 to 360")
	parts := fields(text)
	if len(parts) == 1 {
		angle, err := ParseAngle(text, 0, 360)
		if err != nil {
			return 0, expected
		}
		return angle, nil
	}
	hours, sign, err := sexagesimal(parts)
	if err != nil || sign != 0 || hours >= 24 {
		return 0, expected
	}
	return unit.AngleFromDeg(hours * 15), nil
}

// ParseDec reads a declination: "+22 00 52" is degrees, minutes and seconds, a
// single number is degrees, -90 to +90.
func ParseDec(text string) (unit.Angle, error) {
	expected := errors.New("+22 00 52 (° ' \"), or degrees from −90 to 90")
	parts := fields(text)
	if len(parts) == 1 {
		angle, err := ParseAngle(text, -90, 90)
		if err != nil {
			return 0, expected
		}
		return angle, nil
	}
	degrees, sign, err := sexagesimal(parts)
	if err != nil || degrees > 90 {
		return 0, expected
	}
	if sign < 0 {
		degrees = -degrees
	}
	return unit.AngleFromDeg(degrees), nil
}

func tidy(text string) string {
	text = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "°"))
	return strings.NewReplacer(minus, "-", ",", ".").Replace(text)
}

// fields splits at spaces, colons and the marks of hours, degrees, minutes and seconds.
func fields(text string) []string {
	return strings.FieldsFunc(tidy(text), func(r rune) bool {
		return strings.ContainsRune(" :hmsd°'′\"″\t", r)
	})
}

// sexagesimal reads two or three parts, of which the last may have decimals. It
// returns the sign apart, because that of −0 would be lost: −1, +1 or 0 for none.
func sexagesimal(parts []string) (value float64, sign int, err error) {
	if len(parts) == 0 || len(parts) > 3 {
		return 0, 0, errors.New("not one to three parts")
	}
	switch parts[0][0] {
	case '-':
		sign = -1
	case '+':
		sign = 1
	}
	if sign != 0 {
		parts[0] = parts[0][1:]
	}
	unitOf := 1.0
	for i, part := range parts {
		v, err := strconv.ParseFloat(part, 64)
		whole := i == len(parts)-1 || !strings.Contains(part, ".")
		if err != nil || !whole || !(v >= 0) || (i > 0 && v >= 60) {
			return 0, 0, fmt.Errorf("part %d is not in range", i+1)
		}
		value += v * unitOf
		unitOf /= 60
	}
	return value, sign, nil
}

// short returns a limit with as many decimals as it has.
func short(v float64) string {
	return strings.Replace(strconv.FormatFloat(v, 'f', -1, 64), "-", minus, 1)
}
