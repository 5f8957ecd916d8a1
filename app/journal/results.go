package journal

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/desk/ownecho"
)

// results finds new results in statuses. What is there in the first of them is
// of an earlier session, and recorded.
type results struct {
	begun                                bool
	peak, receiver, survey, checked, dip time.Time
	echo                                 time.Time
}

// news are the results that are new in a status.
func (r *results) news(s *desk.Status) (out []Result) {
	add := func(last *time.Time, at time.Time, kind ResultKind, words string, detail any) {
		if at.Equal(*last) {
			return
		}
		*last = at
		text, err := json.Marshal(detail)
		if err != nil {
			text = nil // a figure that is no number: the words say what there is
		}
		if r.begun {
			out = append(out, Result{At: at, Kind: kind, Words: words, Detail: text})
		}
	}
	if p := s.Peak.Last; p != nil {
		add(&r.peak, p.At, PeakResult, peakWords(p), p)
	}
	if y := s.Receiving.Last; y != nil {
		add(&r.receiver, y.At, ReceiverResult, receiverWords(y), y)
	}
	if d := s.Receiving.Dip.Last; d != nil {
		add(&r.dip, d.At, DipResult, dipWords(d), d)
	}
	if e := s.OwnEcho.Last; e != nil {
		add(&r.echo, e.At, EchoResult, echoWords(e), e)
	}
	if !s.Survey.At.IsZero() {
		add(&r.survey, s.Survey.At, SurveyResult, fmt.Sprintf("a mount model fitted to %d peaks is in use",
			len(s.Survey.Observations)), s.Survey.Model)
	}
	if c := s.Check.Last; c != nil {
		add(&r.checked, c.At, NightResult, checkWords(c), c)
	}
	r.begun = true
	return out
}

func peakWords(p *desk.PeakResult) string {
	words := fmt.Sprintf("%s, %s %s", p.Target, p.Band, p.Feed)
	if p.Why.Code != "" {
		return words + ": of no use, " + p.Why.String()
	}
	return fmt.Sprintf("%s: cross-elevation %+.3f°, elevation %+.3f°", words, p.Found.Cross.Deg(), p.Found.El.Deg())
}

func receiverWords(y *desk.ReceiverResult) string {
	words := fmt.Sprintf("%s, %s %s", y.Target, y.Band, y.Feed)
	if y.Why.Code != "" {
		return words + ": of no use, " + y.Why.String()
	}
	return fmt.Sprintf("%s: Y factor %.2f dB", words, y.Figures.YDB)
}

func dipWords(d *desk.DipResult) string {
	words := fmt.Sprintf("sky dip, %s %s, azimuth %.0f°", d.Band, d.Feed, d.Az.Deg())
	if d.Why.Code != "" {
		return words + ": of no use, " + d.Why.String()
	}
	return fmt.Sprintf("%s: opacity %.3f dB, receiver %.0f K, spillover %.0f K", words, d.OpacityDB.Value,
		d.ReceiverK.Value,
		d.SpillK.Value)
}

func echoWords(e *ownecho.Result) string {
	words := fmt.Sprintf("own echo, %s %s", e.Band, e.Feed)
	switch {
	case e.Why.Code != "":
		return words + ": of no use, " + e.Why.String()
	case !e.Detected:
		return fmt.Sprintf("%s: not found in %s", words, ownecho.CyclesOf(e.Cycles))
	}
	return fmt.Sprintf("%s: C/N0 %.1f dB-Hz ±%.1f dB, %+.1f Hz, %s", words, e.CN0DBHz, e.CN0ErrorDB, e.OffsetHz,
		ownecho.CyclesOf(e.Cycles))
}

// checkWords is the verdict and what wants looking at.
func checkWords(c *desk.CheckResult) string {
	words := []string{c.Verdict.String()}
	for _, l := range c.Lines {
		if l.Grade >= desk.Warning {
			words = append(words, l.What+" "+l.Words.String())
		}
	}
	return strings.Join(words, "; ")
}
