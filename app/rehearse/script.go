// Package rehearse plays scripts of operator actions and faults through the
// real desk, loop, line and simulated enclosure in virtual time, and says
// whether what a script expects came true.
//
// A script is plain text, a line each; # begins a comment:
//
//	title   The stop circuit opens while the Moon is tracked
//	from    2027-04-14T16:00:00Z
//	seed    7
//	beam    azimuth 105 elevation 40
//	trusted no
//	dish bare              # the settings, where they are not those of practice:
//	closed 100 140         # no transmitting between these azimuths
//	permit above 12        # nor below this elevation
//	enclosure without elevation
//	at 1    do track
//	at 20   expect activity = tracking
//	at 20   expect off < 0.2
//	at 25   fault stop-circuit
//	at 26   expect locked = yes
//	at 30   clear stop-circuit
//	at 31   do release
//	end 40
//
// Times are seconds from the beginning and never go back. What a line may say
// after 'do', 'fault', 'computer' and 'expect' stands in actions.go, computer.go and facts.go.
package rehearse

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
)

// Script is what is to be played.
type Script struct {
	Name, Title string
	From        time.Time
	Seed        uint64
	// Az and El are where the axes stand at first, degrees; the beam ten
	// degrees off the Moon where HasBeam is false.
	Az, El  float64
	HasBeam bool
	// Untrusted begins without a reference.
	Untrusted bool
	// Bare, Closed (azimuths, degrees, both 0 for none) and PermitAbove (degrees) change the settings.
	Bare        bool
	Closed      [2]float64
	PermitAbove float64
	// WithoutElevation: the enclosure lacks an axis that the settings have.
	WithoutElevation bool
	Lines            []Line
	End              time.Duration
}

// Line is one thing that a script does or expects.
type Line struct {
	Number int
	At     time.Duration
	// Verb is do, fault, clear, computer, expect or say; Words is what follows it.
	Verb  string
	Words []string
}

// ofFault reports that the line has a fault come or go.
func (l Line) ofFault() bool { return l.Verb == "fault" || l.Verb == "clear" }

// longest is how long a rehearsal may last.
const longest = 24 * time.Hour

// Read reads a script.
func Read(name string, from io.Reader) (Script, error) {
	s := Script{Name: name, From: time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC), Seed: 1}
	lines := bufio.NewScanner(from)
	number := 0
	for lines.Scan() {
		number++
		text, _, _ := strings.Cut(strings.TrimPrefix(lines.Text(), "\ufeff"), "#")
		words := strings.Fields(text)
		if len(words) == 0 {
			continue
		}
		if s.End != 0 {
			return s, fmt.Errorf("%s:%d: nothing may follow end", name, number)
		}
		if err := s.line(number, words); err != nil {
			return s, fmt.Errorf("%s:%d: %w", name, number, err)
		}
	}
	if err := lines.Err(); errors.Is(err, bufio.ErrTooLong) {
		return s, fmt.Errorf("%s:%d: the line is too long: must be at most %d bytes", name, number+1,
			bufio.MaxScanTokenSize)
	} else if err != nil {
		return s, fmt.Errorf("%s: %w", name, err)
	}
	if s.End == 0 {
		return s, fmt.Errorf("%s: there is no line 'end SECONDS'", name)
	}
	return s, nil
}

func (s *Script) line(number int, words []string) error {
	switch words[0] {
	case "title":
		s.Title = strings.Join(words[1:], " ")
		return nil
	case "from":
		at, err := time.Parse(time.RFC3339, last(words))
		if err != nil {
			return fmt.Errorf("from %s: must be a time such as 2027-04-14T16:00:00Z", last(words))
		}
		s.From = at.UTC()
		return nil
	case "seed":
		seed, err := strconv.ParseUint(last(words), 10, 64)
		if err != nil {
			return fmt.Errorf("seed %s: must be a whole number", last(words))
		}
		s.Seed = seed
		return nil
	case "beam":
		return s.beam(words)
	case "referenced":
		s.Untrusted = last(words) == "no"
		return nil
	case "dish", "closed", "permit", "enclosure":
		return s.other(words)
	case "end":
		at, err := s.moment(last(words))
		s.End = at
		if err == nil && at == 0 {
			err = fmt.Errorf("end 0: must be above 0 seconds")
		}
		return err
	case "at":
		return s.at(number, words)
	}
	return fmt.Errorf(
		"%q: a line begins with title, from, seed, beam, referenced, dish, closed, permit, enclosure, at or end",
		words[0])
}

func last(words []string) string { return words[len(words)-1] }

func (s *Script) beam(words []string) error {
	if len(words) != 5 || words[1] != "azimuth" || words[3] != "elevation" {
		return fmt.Errorf("must be: beam azimuth DEGREES elevation DEGREES")
	}
	az, azErr := strconv.ParseFloat(words[2], 64)
	el, elErr := strconv.ParseFloat(words[4], 64)
	if azErr != nil || elErr != nil || !(az >= -720 && az <= 720 && el >= -90 && el <= 180) {
		return fmt.Errorf("beam %s, %s: must be degrees", words[2], words[4])
	}
	s.Az, s.El, s.HasBeam = az, el, true
	return nil
}

// moment reads a time and checks that it does not go back.
func (s *Script) moment(text string) (time.Duration, error) {
	v, err := strconv.ParseFloat(text, 64)
	at := time.Duration(v * float64(time.Second))
	switch {
	case err != nil || !(v >= 0 && v <= longest.Seconds()):
		return 0, fmt.Errorf("time %s: must be 0 to %v seconds", text, longest.Seconds())
	case len(s.Lines) > 0 && at < s.Lines[len(s.Lines)-1].At:
		return 0, fmt.Errorf("time %s goes back: the line before is at %v", text, s.Lines[len(s.Lines)-1].At.Seconds())
	}
	return at, nil
}

func (s *Script) at(number int, words []string) error {
	if len(words) < 4 {
		return fmt.Errorf("must be: at SECONDS do|fault|clear|computer|expect|say WORDS")
	}
	at, err := s.moment(words[1])
	if err != nil {
		return err
	}
	line := Line{Number: number, At: at, Verb: words[2], Words: words[3:]}
	switch line.Verb {
	case "do":
		_, err = order(line.Words)
	case "expect":
		_, err = expectation(line.Words)
	case "computer":
		_, err = computer(line.Words)
	case "fault", "clear", "say":
	default:
		err = fmt.Errorf("%q: must be do, fault, clear, computer, expect or say", line.Verb)
	}
	if err != nil {
		return err
	}
	s.Lines = append(s.Lines, line)
	return nil
}
