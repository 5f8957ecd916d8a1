// Package contact holds contacts with other stations, and writes them as ADIF. Pure.
package contact

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"beamhelm/ephem/locator"
)

// Contact is a contact with another station, with what was known of the moment at which it was entered. Figures
// that aren't known are NaN, words that aren't are empty.
type Contact struct {
	At time.Time
	// Call is the other station's call sign, Locator its place.
	Call, Locator string
	// OwnCall, OwnLocator and Operator are this station's.
	OwnCall, OwnLocator, Operator string
	MHz                           float64
	Band                          string // as the panel names it
	// Mode is a word of ADIF's enumeration.
	Mode           string
	Sent, Received string // reports
	// AzDeg and ElDeg are where the beam was, 0 to 360 and -90 to 90.
	AzDeg, ElDeg float64
	// DopplerHz is that of the partner's signal, uncorrected, or of the own echo without one;
	// DegradationDB from the month's best.
	DopplerHz, DegradationDB float64
	// SystemK is the system noise by the model, NoiseDB the measured level above cold sky.
	SystemK, NoiseDB float64
	PowerW           float64
	Comment          string
}

// The longest words that are taken, in characters.
const (
	maxCall    = 20
	maxReport  = 20
	maxComment = 500
)

// Validate says what is wrong with a contact: it has to name the other station, all in what ADIF can write.
func (c Contact) Validate() error {
	if err := ValidCall(c.Call); err != nil {
		return err
	}
	if c.Locator != "" {
		if _, _, _, _, err := locator.Parse(c.Locator); err != nil {
			return err
		}
	}
	for _, field := range []struct {
		name, text string
		longest    int
	}{{"report sent", c.Sent, maxReport}, {"report received", c.Received, maxReport},
		{"comment", c.Comment, maxComment}} {
		if len([]rune(field.text)) > field.longest {
			return fmt.Errorf("the %s has more than %d characters", field.name, field.longest)
		}
	}
	return nil
}

// ValidCall says what is wrong with a call sign. Which ones exist is the licensing authorities' affair: anything
// printable that stands in one line of ASCII is taken, so that a station without one can be named.
func ValidCall(call string) error {
	switch {
	case strings.TrimSpace(call) == "":
		return errors.New("the other station's call sign is missing")
	case len(call) > maxCall:
		return fmt.Errorf("a call sign has at most %d characters", maxCall)
	case plain(call) != call:
		return fmt.Errorf("call sign %q: letters, figures and signs of ASCII", call)
	}
	return nil
}
