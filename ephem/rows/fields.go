package rows

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// Number reads a plain decimal number.
func Number(text string) (float64, error) {
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) || strings.ContainsAny(text, "xX_") {
		return 0, fmt.Errorf("%q is not a number", text)
	}
	return x, nil
}

const (
	// FirstYear and LastYear bound what Instant takes: beyond them the sky's frames mean nothing.
	FirstYear = 1000
	LastYear  = 3000
	// instantShape is what stands at each place of an RFC 3339 date and time, up to the fraction.
	instantShape = "dddd-dd-ddTdd:dd:dd"
)

// Instant reads an RFC 3339 date and time, such as 2027-04-14T16:00:00Z, strictly.
func Instant(text string) (time.Time, error) {
	shaped := len(text) > len(instantShape) && !strings.ContainsAny(text, ",")
	for i := 0; shaped && i < len(instantShape); i++ {
		digit := text[i] >= '0' && text[i] <= '9'
		shaped = digit && instantShape[i] == 'd' || text[i] == instantShape[i]
	}
	at, err := time.Parse(time.RFC3339, text)
	switch {
	case !shaped || err != nil:
		return time.Time{}, fmt.Errorf("%q is not an RFC 3339 time such as 2027-04-14T16:00:00Z", text)
	case at.UTC().Year() < FirstYear || at.UTC().Year() > LastYear:
		return time.Time{}, fmt.Errorf("%q is not within the years %d to %d", text, FirstYear, LastYear)
	}
	return at.UTC(), nil
}
