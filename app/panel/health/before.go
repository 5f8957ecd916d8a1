package health

import (
	"context"
	"math"
	"time"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/app/panel/offwindow"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Records are looked back into for what a reading was before. It may wait for the disk.
type Records interface {
	Trends(ctx context.Context, keys []string, from, to time.Time, columns int) ([]journal.Trend, error)
}

// askWithin is how long the disk may take before it is given up.
const askWithin = 5 * time.Second

// before tells between what a reading lay in longer and longer times. It has its lines from the first, so that nothing
// moves when the disk has answered.
type before struct {
	object fyne.CanvasObject
	lines  []*widget.Text
	job    offwindow.Job
}

func newBefore() *before {
	b := &before{}
	var parts []widget.Part
	for _, t := range view.PastTimes() {
		text := widget.NewText("…").Small().Elastic().Named("reading-" + view.Name(t.Name))
		b.lines = append(b.lines, text)
		parts = append(parts, widget.Fixed(named(t.Name, text)))
	}
	b.object = widget.Column(2, parts...)
	return b
}

// extent is between what a reading lay; NaN where nothing was recorded.
type extent struct{ low, mean, high float64 }

// look looks up what a reading was before a moment.
func (b *before) look(records Records, r desk.Reading, now time.Time) {
	offwindow.Do(&b.job, askWithin, func(ctx offwindow.Context) (all []extent, err error) {
		for _, t := range view.PastTimes() {
			trends, err := records.Trends(ctx, []string{r.Key}, now.Add(-t.Long), now, 1)
			if err != nil {
				return nil, err
			}
			all = append(all, extentOf(trends))
		}
		return all, nil
	}, func(all []extent, err error) {
		series, _ := journal.SeriesOf(r.Key)
		for i, line := range b.lines {
			if err != nil {
				line.Set("can't look back now: "+err.Error(), view.Old)
				continue
			}
			words := view.ExtentWords(r, all[i].low, all[i].mean, all[i].high, series.Circle)
			line.Set(words.Words, words.Tone)
		}
	})
}

// extentOf draws the points of a trend together.
func extentOf(trends []journal.Trend) extent {
	e := extent{math.NaN(), math.NaN(), math.NaN()}
	sum, n := 0.0, 0.0
	for _, t := range trends {
		for _, p := range t.Points {
			if n == 0 {
				e.low, e.high = p.Min, p.Max
			}
			e.low, e.high = min(e.low, p.Min), max(e.high, p.Max)
			sum, n = sum+p.Mean, n+1
		}
	}
	if n > 0 {
		e.mean = sum / n
	}
	return e
}
