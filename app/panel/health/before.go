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

// pieces is in how many columns a time is looked up: so many that a day is made of minutes, for of hours a part of the
// first would be left out.
const pieces = 96

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

// look looks up what a reading was before now.
func (b *before) look(records Records, r desk.Reading, now view.Now) {
	series, _ := journal.SeriesOf(r.Key)
	at, practice := now.At, now.Practice
	offwindow.Do(&b.job, askWithin, func(ctx offwindow.Context) (all []view.Extent, err error) {
		for _, t := range view.PastTimes() {
			trends, err := records.Trends(ctx, []string{r.Key}, at.Add(-t.Long), at, pieces)
			if err != nil {
				return nil, err
			}
			e := extentOf(trends, series.Circle)
			if practice {
				e.Recorded = t.Long // practice time may have run faster: how much was recorded tells nothing
			}
			all = append(all, e)
		}
		return all, nil
	}, func(all []view.Extent, err error) {
		for i, t := range view.PastTimes() {
			line := b.lines[i]
			if err != nil {
				line.Set("can't look back now: "+err.Error(), view.Old)
				continue
			}
			words := view.ExtentWords(r, all[i], t.Long, series.Circle)
			line.Set(words.Words, words.Tone)
		}
	})
}

// extentOf is the extent of a reading over all points of its trend.
func extentOf(trends []journal.Trend, circle bool) view.Extent {
	e := view.Extent{Low: math.NaN(), High: math.NaN()}
	mean := journal.Average{Circle: circle}
	for _, t := range trends {
		for _, p := range t.Points {
			if mean.Weight == 0 {
				e.Low, e.High = p.Min, p.Max
			}
			e.Low, e.High = min(e.Low, p.Min), max(e.High, p.Max)
			mean.Add(p.Mean, p.Recorded.Seconds())
			e.Recorded += p.Recorded
		}
	}
	e.Mean = mean.Mean()
	return e
}
