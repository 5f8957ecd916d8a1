package view

import (
	"fmt"
	"math"
	"strings"
	"time"

	"beamhelm/app/desk"
)

// PlanHead names the month, and says what its picture means.
func PlanHead(now Now) Pair {
	p := now.Plan
	if p == nil {
		return plainPair("No plan", "this target has no passes")
	}
	under := "hours UTC · height: elevation"
	if p.Of.Kind == desk.Moon {
		under += " · stronger colour: better"
	}
	if p.Partner != "" {
		under += " · bar: shared"
	}
	words := p.Month.Format("January 2006")
	if p.Partner != "" {
		words += ", with " + p.Partner
	}
	return plainPair(words, under)
}

// PlanMarks lists what the sky marks in the month, and the operator's own dates apart.
func PlanMarks(now Now) (sky, own string) {
	if now.Plan == nil {
		return "", ""
	}
	var ofSky, ofOperator []string
	for _, m := range now.Plan.Marks {
		day := m.At.Format("2 Jan")
		if m.Until.IsZero() {
			ofSky = append(ofSky, m.Words.String()+" "+day)
			continue
		}
		if last := m.Until.Add(-time.Second); last.YearDay() != m.At.YearDay() {
			first := "2"
			if last.Month() != m.At.Month() {
				first = "2 Jan"
			}
			day = m.At.Format(first) + "–" + last.Format("2 Jan")
		}
		ofOperator = append(ofOperator, m.Words.String()+" "+day)
	}
	return Sentence(strings.Join(ofSky, " · ")), strings.Join(ofOperator, " · ")
}

// hours returns a length of time as hours and minutes, "9 h 05".
func hours(d time.Duration) string {
	return fmt.Sprintf("%d h %02d", int(d.Hours()), int(d.Minutes())%60)
}

// PassLine says when a pass is, "14 Apr (Wed) 10:52 – 03:16".
func PassLine(p desk.PlanPass) string {
	return p.Rise.UTC().Format("2 Jan (Mon) 15:04") + " – " + HourMinute(p.Set)
}

// PassFigures are the passes to come, as many as asked for.
func PassFigures(now Now, maximum int) []Figure {
	var lines []Figure
	if now.Plan == nil {
		return nil
	}
	for _, p := range now.Plan.Next {
		if len(lines) == maximum {
			break
		}
		note := []string{}
		if !math.IsNaN(p.Merit) {
			note = append(note, "path +"+Number(p.AbovePerigeeDB, 1)+" dB")
		}
		if p.Shared > 0 {
			note = append(note, "shared "+hours(p.Shared))
		} else if now.Plan.Partner != "" {
			note = append(note, "not shared")
		}
		if p.Dates != "" {
			note = append(note, p.Dates)
		}
		tone := Faint
		if p.SunWithin {
			note, tone = append(note, "Sun near"), Attention
		}
		lines = append(lines, Figure{PassLine(p), Phrase{Number(p.HighestEl.Deg(), 0) + "°", Measured},
			Phrase{strings.Join(note, ", "), tone}})
	}
	return lines
}

// ThenWords are the figures of the moment that is looked at.
func ThenWords(now Now) Pair {
	r := now.Then
	switch {
	case r == nil:
		return Pair{Phrase{"Click in the month to see that moment", Faint},
			Phrase{"it is marked in the panorama too", Faint}}
	case now.Plan != nil && now.Plan.Of.Kind != desk.Moon:
		return Pair{Phrase{now.Plan.Target + ", " + PlanReadOut(now.Plan, r.At), Plain},
			Phrase{"merit and degradation are the Moon's alone", Faint}}
	}
	head := fmt.Sprintf("%s: Moon %s°", r.At.UTC().Format("2 Jan (Mon) 15:04"), Number(r.MoonEl.Deg(), 1))
	if r.HasPartner {
		head += fmt.Sprintf(" here, %s° there", Number(r.PartnerEl.Deg(), 1))
	}
	s := summary(r)
	return Pair{Phrase{head, Plain}, Phrase{s.Head.Words + ": " + s.Under.Words, Faint}}
}

// ArmedWords say what is armed; empty where nothing is.
func ArmedWords(now Now) Phrase {
	a := now.Armed
	pass := fmt.Sprintf("%s, %s to %s", a.Target, Moment(a.Rise, now.At), HourMinute(a.Set))
	switch {
	case !a.Has:
		return Phrase{}
	case a.Question:
		return Phrase{"Armed in the last session: " + pass + ". Arm it again?", Attention}
	case a.UnderWay:
		return Phrase{"Armed pass of " + a.Target + " running: parks at " + Moment(a.Set, now.At), Wanted}
	}
	words := "Armed: " + pass + "; starts " + Moment(a.Leaves, now.At)
	for _, note := range a.Notes {
		words += "; " + note.String()
	}
	return Phrase{words, Wanted}
}

// ArmedShort is what the top line says of an armed pass; empty where nothing is armed.
func ArmedShort(now Now) string {
	a, armed := now.Armed, "armed"
	if a.Target != "the Moon" { // which is the usual
		armed += " for " + a.Target
	}
	switch {
	case !a.Has:
		return ""
	case a.Question:
		return "a pass was armed: see Plan"
	case a.UnderWay:
		return armed + ", parks " + HourMinute(a.Set)
	}
	return armed + ", starts " + Moment(a.Leaves, now.At)
}

// PlanReadOut says where the target stands at a moment of the month, and what it is worth; empty beyond it.
func PlanReadOut(p *desk.Plan, at time.Time) string {
	if p == nil {
		return ""
	}
	const point = 24 * time.Hour / desk.PlanPointsADay
	at = at.Round(point)
	i := int(at.Sub(p.Month) / point)
	if at.Before(p.Month) || i >= len(p.Points) {
		return ""
	}
	q := p.Points[i]
	words := at.UTC().Format("2 Jan 15:04") + " UTC: "
	switch {
	case !q.Up && p.Of.Kind == desk.NoBody:
		return words + "in no window"
	case !q.Up:
		words += "not up, "
	}
	words += "az " + Number(q.Az.Deg(), 0) + "°, el " + Number(q.El.Deg(), 0) + "°"
	if !q.Up {
		return words
	}
	if q.Shared {
		words += ", there " + Number(q.PartnerEl.Deg(), 0) + "°"
	}
	if p.Of.Kind == desk.NoBody { // of skeds
		return words + ", loss " + Number(float64(q.PathDB), 1) + " dB"
	}
	switch path, noise := q.PathDB, q.NoiseDB; {
	case path == path:
		bestPath, bestNoise := bestOfMonth(p)
		words += ", degradation " + degradation(float64(path-bestPath+noise-bestNoise)) + " dB"
	case q.Merit == 0:
		words += ", Sun too near"
	}
	return words
}

// bestOfMonth is the least loss of the path and the least noise, dB, of the points that are worked out.
func bestOfMonth(p *desk.Plan) (path, noise float32) {
	path, noise = float32(math.Inf(1)), float32(math.Inf(1))
	for _, q := range p.Points {
		if q.PathDB == q.PathDB {
			path, noise = min(path, q.PathDB), min(noise, q.NoiseDB)
		}
	}
	return path, noise
}

// PlanSpot is the moment that stands at a place of the month's picture: part of
// the day across, row from above.
func PlanSpot(p *desk.Plan, row int, part float64) time.Time {
	row = max(0, min(row, p.Days-1))
	minutes := math.Round(max(0, min(part, 0.9999)) * 24 * 60)
	return p.Month.AddDate(0, 0, row).Add(time.Duration(minutes) * time.Minute)
}
