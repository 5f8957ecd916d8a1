package plan

import (
	"math"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// What the month draws in each palette: passes that wander through the day and grow, worse as they get lower, some
// of them shared; now, a moment that is chosen, and days that the operator has marked.
func TestMonthPicture(t *testing.T) {
	p, d, _ := open(t, func(s *desk.Status) {
		for i := range s.Plan.Points {
			day := i / desk.PlanPointsADay
			hours := 24 * float64(i) / desk.PlanPointsADay
			high := (25 + float64(day)) * math.Cos(2*math.Pi*hours/24.84)
			s.Plan.Points[i] = desk.PlanPoint{El: unit.AngleFromDeg(high), Up: high > 0, Shared: high > 0 && day%7 < 3,
				Merit: float32(max(0, high) / 60)}
		}
		day := func(day int) time.Time { return time.Date(2027, 4, day, 0, 0, 0, 0, time.UTC) }
		s.Plan.Marks = []desk.PlanMark{{At: day(17), Until: day(19)}}
	})
	status := *d.Status()
	status.Then = &desk.Radio{At: stage.Evening().AddDate(0, 0, 5)}
	p.Show(view.At(&status, 0, 0))
	for _, palette := range widget.Palettes() {
		fyne.CurrentApp().Settings().SetTheme(widget.NewTheme(palette))
		test.AssertImageMatches(t, "month-"+palette.Name+".png", p.ridge.draw(360, 400))
	}
}
