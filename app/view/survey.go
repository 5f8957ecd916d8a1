package view

import (
	"fmt"
	"math"
	"slices"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/drive/mount"
)

// SurveyHead says how many observations there are and what is left of them.
func SurveyHead(now Now) Pair {
	s := now.Survey
	n := len(s.Observations)
	switch {
	case n == 0:
		return Pair{Phrase{"No observations yet", Faint}, Phrase{"each good peak is one", Faint}}
	case s.Fit == nil:
		return Pair{Phrase{Count(n, "observation", "observations"), Plain}, Phrase{"more are needed", Faint}}
	}
	words := Count(n, "observation", "observations")
	if s.Fit.Used != n {
		words += fmt.Sprintf(", %d used", s.Fit.Used)
	}
	return Pair{Phrase{words, Plain}, Phrase{"left " + Number(s.Fit.After.Deg(), 3) + "° of " +
		Number(s.Fit.Before.Deg(), 3) + "°", Faint}}
}

// SurveyTerms are the terms of the fitted model.
func SurveyTerms(now Now) []Figure {
	var lines []Figure
	fit := now.Survey.Fit
	if fit == nil {
		return nil
	}
	free := freeTerms(fit)
	for _, t := range fit.Terms {
		line := Figure{Sentence(t.Term.String()), Phrase{SignedUncertain(t.Value.Deg(), t.Sigma.Deg()) + "°", Measured},
			Phrase{"±" + Uncertain(t.Sigma.Deg(), t.Sigma.Deg()), Faint}}
		if t.Held != "" {
			line.Value, line.Note = Phrase{"held at 0", Old}, Phrase{t.Held, Faint}
		} else if with := tiedTo(fit, free, t.Term); with != "" {
			line.Note = Phrase{line.Note.Words + ", tied to " + with, Attention}
		}
		lines = append(lines, line)
	}
	return lines
}

// freeTerms are the fitted terms, in the order of the correlations.
func freeTerms(fit *mount.Fit) (free []mount.Term) {
	for _, t := range fit.Terms {
		if t.Held == "" {
			free = append(free, t.Term)
		}
	}
	return free
}

// tied is from what correlation on two terms can hardly be told apart.
const tied = 0.9

// tiedTo names the term that another can hardly be told from; empty where there is none.
func tiedTo(fit *mount.Fit, free []mount.Term, term mount.Term) string {
	i := slices.Index(free, term)
	if i < 0 || len(fit.Correlation) != len(free) {
		return ""
	}
	worst, with := tied, ""
	for j, c := range fit.Correlation[i] {
		if j != i && math.Abs(c) >= worst {
			worst, with = math.Abs(c), free[j].String()
		}
	}
	return with
}

// SurveyNext says where the next observation helps most.
func SurveyNext(now Now) Phrase {
	s := now.Survey
	switch {
	case s.Rounds.Running:
		return Phrase{fmt.Sprintf("Survey run: %s; %s so far, until %s", s.Rounds.Doing,
			Count(s.Rounds.Taken, "peak", "peaks"), s.Rounds.Until.UTC().Format("15:04")), Wanted}
	case s.Fit == nil && s.Why.Code != "":
		return Phrase{Sentence(s.Why.String()), Faint}
	case s.Fit == nil:
		return Phrase{}
	}
	j := s.Fit.Judge(s.Observations)
	return Phrase{fmt.Sprintf(
		"Good to %s° where measured, to %s° near %s°, %s° (nine times of ten): the next helps most there",
		Number(j.Measured.Deg(), 2), Number(j.Worst.Deg(), 2), Number(j.At.Az.Deg(), 0), Number(j.At.El.Deg(), 0)),
		Faint}
}

// SurveyCell is a part of the sky with the error that the fitted model should stay within there, degrees.
type SurveyCell struct{ Az, El, Size, Within float64 }

// SurveyCells are the whole sky from the horizon to the zenith; none without a fit.
func SurveyCells(s desk.Survey) []SurveyCell {
	if s.Fit == nil {
		return nil
	}
	const size = 10.0
	var cells []SurveyCell
	for el := size / 2; el < 90; el += size {
		for az := size / 2; az < 360; az += size {
			d := mount.Boresight{Az: unit.AngleFromDeg(az), El: unit.AngleFromDeg(el)}
			cells = append(cells, SurveyCell{az, el, size, s.Fit.Within(d).Deg()})
		}
	}
	return cells
}

// SurveyShade is how much of a colour a cell has, 0 to 1: none where the error is a twentieth of the beam, all of it
// where it is half of the beam.
func SurveyShade(withinDeg, halfPowerDeg float64) float64 {
	if !(halfPowerDeg > 0) {
		return 0
	}
	return max(0, min(1, math.Log(withinDeg/(0.05*halfPowerDeg))/math.Log(10)))
}

// SurveyNextPlace is the same as degrees of azimuth and elevation.
func SurveyNextPlace(s desk.Survey) (az, el float64, ok bool) {
	if s.Fit == nil {
		return 0, 0, false
	}
	return s.Fit.Next.Az.Deg(), s.Fit.Next.El.Deg(), true
}

// SurveyUse says what using the fitted model would do here and now.
func SurveyUse(now Now) Phrase {
	s := now.Survey
	in := "none in use"
	if !s.At.IsZero() {
		in = "in use: that of " + Moment(s.At, now.At)
	}
	if s.Fit == nil {
		return Phrase{"Mount model: " + in, Faint}
	}
	return Phrase{fmt.Sprintf("Applying it moves the axes here by %s°, %s°; %s", Signed(s.Change.Cross.Deg(), 2),
		Signed(s.Change.El.Deg(), 2), in), Wanted}
}

// UseModelBlocked says why the fitted model can't be used now; empty when it can.
func UseModelBlocked(now Now) string {
	switch {
	case !now.Live:
		return "no contact with the dish"
	case now.Survey.Fit == nil:
		return "there is no fit"
	case now.Peak.Running:
		return "a peak is being measured"
	}
	return ""
}

// SurveyPoint is an observation as it is drawn. Angles in degrees: its place in
// the sky, and what is left of it across and up with the fitted model.
type SurveyPoint struct {
	Az, El, Across, Up float64
	Excluded, Suspect  bool
}

// SurveyPoints are the observations of a survey.
func SurveyPoints(s desk.Survey) []SurveyPoint {
	points := make([]SurveyPoint, len(s.Observations))
	for i := range points {
		o := &s.Observations[i]
		points[i] = SurveyPoint{Az: o.Boresight.Az.Mod1().Deg(), El: o.Boresight.El.Deg(), Across: math.NaN(),
			Up: math.NaN(), Excluded: o.Excluded}
		if s.Fit != nil && i < len(s.Fit.Residuals) {
			r := &s.Fit.Residuals[i]
			points[i].Across, points[i].Up, points[i].Suspect = r.After.Cross.Deg(), r.After.El.Deg(), r.Suspect
		}
	}
	return points
}

// SurveyReach is the greatest residual that is drawn, degrees: a round figure
// above what is not excluded.
func SurveyReach(points []SurveyPoint) float64 {
	maximum := 0.02
	for _, p := range points {
		if !p.Excluded && !math.IsNaN(p.Across) {
			maximum = max(maximum, math.Abs(p.Across), math.Abs(p.Up))
		}
	}
	return roundStep(maximum)
}

// SurveyLongest is how long the residuals in the sky are drawn at most, degrees.
const SurveyLongest = 12

// SurveyStretch is how many times longer than they are the residuals are drawn in the sky; suspect ones don't count.
func SurveyStretch(points []SurveyPoint) float64 {
	points = slices.DeleteFunc(slices.Clone(points), func(p SurveyPoint) bool { return p.Suspect })
	for stretch := 1000.0; stretch > 1; stretch /= 10 {
		for _, part := range [...]float64{1, 0.5, 0.2} {
			if stretch*part*SurveyReach(points) <= SurveyLongest {
				return stretch * part
			}
		}
	}
	return 1
}

// SurveySkyWords say between what predicted errors the sky is coloured, and how the residuals are drawn; empty
// without a fit.
func SurveySkyWords(s desk.Survey, halfPowerDeg, stretch float64) (shade, scaled string) {
	if s.Fit == nil {
		return "", ""
	}
	minimum, maximum := math.Inf(1), 0.0
	for _, c := range SurveyCells(s) {
		minimum, maximum = min(minimum, c.Within), max(maximum, c.Within)
	}
	return Number(minimum, 3) + "° to " + Number(maximum, 3) + "°", "Residuals × " + Number(stretch, 0)
}

// SurveyResiduals are what is left after the fit: cross-elevation by azimuth as discs, elevation by elevation as rings.
func SurveyResiduals(points []SurveyPoint) (byAz, byEl Plot) {
	byAz = Plot{Title: "Cross-elevation by azimuth", Right: 360}
	byEl = Plot{Title: "Elevation by elevation", Right: 90}
	across, up := Series{Name: "residual", Look: Discs}, Series{Name: "residual", Look: Rings}
	for _, p := range points {
		odd := p.Excluded || p.Suspect
		across.X, across.Y, across.Odd = append(across.X, p.Az), append(across.Y, p.Across), append(across.Odd, odd)
		up.X, up.Y, up.Odd = append(up.X, p.El), append(up.Y, p.Up), append(up.Odd, odd)
	}
	reach := 1.1 * SurveyReach(points)
	for _, p := range []*Plot{&byAz, &byEl} {
		p.Unit, p.XUnit, p.Decimals, p.XDecimals = "°", "°", 3, 1
		p.None = "no model is fitted yet"
	}
	if slices.ContainsFunc(across.Y, func(v float64) bool { return v == v }) {
		byAz.Low, byAz.High, byEl.Low, byEl.High = -reach, reach, -reach, reach
	}
	byAz.Series, byEl.Series = []Series{across}, []Series{up}
	return byAz, byEl
}

// ObservationWords name an observation in a list.
func ObservationWords(now Now, i int) string {
	o := &now.Survey.Observations[i]
	p := SurveyPoints(now.Survey)[i]
	words := fmt.Sprintf("%s %s  %s°, %s°", Moment(o.At, now.At), o.Target, Number(p.Az, 0), Number(p.El, 0))
	if !math.IsNaN(p.Across) {
		words += fmt.Sprintf("  left %s° across, %s° up", Signed(p.Across, 3), Signed(p.Up, 3))
	}
	return words
}
