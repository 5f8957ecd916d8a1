package main

import (
	"context"
	"fmt"
	"slices"
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/desk"
	"beamhelm/app/message"
	"beamhelm/app/noisemeter"
	"beamhelm/app/settings"
	"beamhelm/drive/step"
)

// beside is what is in trouble beside the dish. The desk asks first while it is
// made, before everything there is.
func (p *session) beside() []alarm.Condition {
	standing := slices.Clone(p.leftOut)
	add := func(key string, grade alarm.Grade, words, next string) {
		if words != "" {
			standing = append(standing, alarm.Condition{Key: key, Grade: grade,
				Words: message.Text(message.Capital(words)), Next: message.Text(next)})
		}
	}
	add("settings renamed", alarm.Notice, renamedWords(p.source),
		"Open Set-up and save: that writes the new names. 'beamhelm settings check' lists them all.")
	add("audio program", alarm.Notice, programWords(noisemeter.ByProgram(p.settings), p.settings),
		"Choose an input in Set-up under Receiver audio: the noise meter hears that, and no program is needed.")
	if p.publish != nil {
		add("publish", alarm.Notice, p.publish.Trouble(),
			"The dish goes on, and it is retried automatically. Look at the network and at [publish] in the settings.")
	}
	if p.radio != nil {
		add("radio", alarm.Notice, p.radio.Trouble(),
			"The dish goes on; set the dial by hand. Look at the radio and at [radio] in the settings.")
	}
	if p.stopline != nil {
		if why := p.stopline.Trouble(); why != "" {
			add("stop line", alarm.Warning, "'beamhelm stop' doesn't reach this panel: "+why,
				"Esc and STOP in this window work as always. It is retried automatically.")
		}
	}
	if at := p.source.Recorded; !at.IsZero() {
		words, next := recordedWords(p.source.Path, at.UTC().Format("2 Jan 2006"))
		add("settings file", alarm.Warning, words, next)
	}
	if p.keeper != nil {
		if why := p.keeper.Trouble(); why != "" {
			add("last session", alarm.Warning, "What must outlive this session can't be written: "+why,
				"The next start will demand Release and a new reference. Look at the disk; it is retried "+
					"automatically.")
		}
	}
	if p.loop != nil && p.left.Words != "" && leftStands(p.loop.Status()) {
		add("session before", alarm.Warning, p.left.Words,
			"Look whether all is well at the dish. Release, then give each axis a new reference: the last known "+
				"position is only a suggestion.")
	}
	return standing
}

// renamedWords say which keys of the settings file have their former names; empty where none has.
func renamedWords(source settings.Source) string {
	switch others := len(source.Renamed) - 1; {
	case others < 0:
		return ""
	case others == 0:
		return "the settings file uses a former name: " + source.Renamed[0].String()
	default:
		return fmt.Sprintf("the settings file uses former names: %s (and %d more)", source.Renamed[0], others)
	}
}

// leaveOut goes on without something beside the dish that can't be had, and has it told.
func (p *session) leaveOut(key, words string, err error) {
	p.leftOut = append(p.leftOut, alarm.Condition{Key: key, Grade: alarm.Warning,
		Words: message.Text(words + ": " + err.Error()),
		Next: message.Text("The dish goes on without it. Correct it in Set-up, then restart; " +
			"'beamhelm settings check' finds the same.")})
}

// leftStands reports that something of the last session still waits for the operator.
func leftStands(s *step.Status) bool {
	return s.Lock.Locked && s.Lock.Kept || s.Axes[0].Distrusted || s.Axes[1].Distrusted
}

// stopWithin is how long a caller from outside waits for standing still to be confirmed: from full speed the
// counts come to stand 3.4 to 4.6 s after the Stop (measured over a line), later in gusts.
const stopWithin = 7500 * time.Millisecond

// stop stops the dish for a caller from outside the window, and says what came
// of it. Confirmed is only what the loop says after it has taken the Stop, from
// counts that are new.
func (p *session) stop(ctx context.Context) (standing bool, words string) {
	before := p.loop.Status().Tick
	p.orders.Ask(desk.Stop{})
	ticker := time.NewTicker(20 * time.Millisecond)
	defer ticker.Stop()
	deadline := time.After(stopWithin)
	for {
		if standsStill(p.loop.Status(), before) {
			return true, fmt.Sprintf("%s: stopped, confirmed", p.settings.Station.Name)
		}
		select {
		case <-deadline:
			return false, fmt.Sprintf("%s: stop requested; not confirmed that the dish has stopped",
				p.settings.Station.Name)
		case <-ctx.Done():
			return false, fmt.Sprintf("%s: stop asked; the panel is ending", p.settings.Station.Name)
		case <-ticker.C:
		}
	}
}

// standsStill reports that a status confirms that the dish stands. The tick
// after the one before a Stop may have begun without it; the next has taken it.
func standsStill(s *step.Status, before uint64) bool {
	return s.Tick > before+1 && s.Stop == step.StopStanding && s.Link.State == step.LinkGood && !s.Moving
}
