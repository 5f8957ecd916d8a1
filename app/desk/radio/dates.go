package radio

import (
	"slices"
	"strings"
	"time"

	"beamhelm/app/desk/station"
	"beamhelm/app/message"
)

// Date is a day, or some days, that the operator marks in the plan.
type Date struct {
	// First and Last day as their first moments, UTC; the same for a single day.
	First time.Time `json:"first"`
	Last  time.Time `json:"last"`
	Words string    `json:"words"`
}

// The most that is kept of dates: how many, how long, and letters of the words.
const (
	maxDates     = 100
	maxDateDays  = 31
	maxDateWords = 40
)

// ParseDate reads "2027-04-17 words", or some days as an interval of ISO 8601,
// "2027-04-17/2027-04-18 words".
func ParseDate(text string) (Date, error) {
	days, words, _ := strings.Cut(strings.TrimSpace(text), " ")
	first, last, some := strings.Cut(days, "/")
	if !some {
		last = first
	}
	var d Date
	var err error
	if d.First, err = time.Parse(time.DateOnly, first); err == nil {
		d.Last, err = time.Parse(time.DateOnly, last)
	}
	if err != nil {
		return Date{}, message.Of("date.shape")
	}
	d.Words = strings.Join(strings.Fields(words), " ")
	return d, d.validate()
}

func (d Date) validate() error {
	if wrong := station.WordsWrong(d.Words, maxDateWords); wrong.Code != "" {
		return wrong
	}
	switch {
	case d.First.Year() < 1900 || d.Last.Year() > 2200:
		return message.Of("date.year")
	case d.Last.Before(d.First):
		return message.Of("date.order")
	case d.Last.Sub(d.First) > maxDateDays*24*time.Hour:
		return message.Of("date.days", maxDateDays)
	}
	return nil
}

// String is the date as ParseDate reads it.
func (d Date) String() string {
	days := d.First.Format(time.DateOnly)
	if d.Last.After(d.First) {
		days += "/" + d.Last.Format(time.DateOnly)
	}
	return days + " " + d.Words
}

// over says whether the date has a moment in common with a span.
func (d Date) over(from, to time.Time) bool {
	return d.First.Before(to) && d.Last.AddDate(0, 0, 1).After(from)
}

// SetDate adds (on) or takes away the date of a text; what can't be read changes nothing. Why says why not.
func (s *State) SetDate(text string, on bool) (why message.Message) {
	d, err := ParseDate(text)
	if err != nil {
		return message.Of("radio.date", err)
	}
	m := &s.Month
	same := func(o Date) bool { return o.String() == d.String() }
	list := slices.DeleteFunc(slices.Clone(m.Dates), same)
	if on {
		if len(list) == maxDates {
			return message.Of("radio.date", message.Of("date.many", maxDates))
		}
		list = append(list, d)
		slices.SortStableFunc(list, func(a, b Date) int { return a.First.Compare(b.First) })
	}
	m.setDates(list)
	return message.Message{}
}

// setDates takes the list, which is never changed afterwards, and has the plan worked out again.
func (s *monthState) setDates(list []Date) {
	s.Dates = list
	s.DatesNumber++
}

// takeDates takes up what was kept; what can't be used is left out.
func (s *monthState) takeDates(kept []Date) {
	list := slices.DeleteFunc(slices.Clone(kept), func(d Date) bool { return d.validate() != nil })
	s.setDates(list[:min(len(list), maxDates)])
}

// datesIn are the words of the dates that have a moment in common with a span.
func (s *monthState) datesIn(from, to time.Time) string {
	var words []string
	for _, d := range s.Dates {
		if d.over(from, to) {
			words = append(words, d.Words)
		}
	}
	return strings.Join(words, ", ")
}

// dateMarks are the dates of a span, as marks of the plan.
func (s *monthState) dateMarks(from, to time.Time) []PlanMark {
	var marks []PlanMark
	for _, d := range s.Dates {
		if d.over(from, to) {
			marks = append(marks, PlanMark{At: d.First, Until: d.Last.AddDate(0, 0, 1), Words: message.Text(d.Words)})
		}
	}
	return marks
}
