package desk

import (
	"beamhelm/app/desk/measuring"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/message"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// measuringInputs are what the measurements may know of the moment.
func (t *work) measuringInputs() *measuring.Inputs {
	s, in := t.s, t.in
	return &measuring.Inputs{
		At: in.At, Now: in.Now, Loop: in.Loop, Beam: *t.beam(),
		Dish: measuring.Dish{
			Target: s.Choice, Band: s.Band, Feed: s.Feed, Trims: s.Trims, Outputs: s.Outputs,
			Idle: s.Aim == noAim, Tracking: s.Aim == trackAim, Slewing: s.Aim == slewAim,
			UnderWay: s.Aim == slewAim || s.Aim == parkAim || s.Aim == windAim || s.Aim == snowAim,
			Powering: s.Waiting.Has, Detour: len(s.Legs) > 0,
			Armed:    s.Armed.Has && !s.Armed.Question,
			Echoes:   t.measuresEchoes(),
			Arriving: t.arriving(),
		},
		Antenna: s.Radio.AntennaOf(t.c, s.Band, s.Feed, t.solarFlux()),
		Levels:  in.Measured, NoiseDB: in.NoiseDB, OtherMeter: in.OtherMeter,
		LineErrors: in.Around.Line.Errors,
		Watch:      &s.Watch,
	}
}

// solarFlux is the Sun's flux on the band in use, as it is to be expected.
func (t *work) solarFlux() float64 {
	return t.s.Measuring.SolarFlux(t.c.Settings.Bands[t.s.Band].MHz*1e6, t.in.At)
}

// measuring moves on what is being measured.
func (t *work) measuring() {
	t.perform(measuring.Step(t.c, &t.s.Measuring, t.measuringInputs()))
}

// measure has an order obeyed by the measurements.
func (t *work) measure(o measuring.Order) {
	t.perform(measuring.Obey(t.c, &t.s.Measuring, t.measuringInputs(), o))
}

// perform does what the measurements ask for.
func (t *work) perform(out measuring.Outputs) {
	s := t.s
	t.out.Events = append(t.out.Events, out.Events...)
	if out.Pressed {
		s.NudgeAt = t.in.Now
	}
	for _, ask := range out.Asks {
		switch a := ask.(type) {
		case measuring.Excurse:
			s.excurse(a.To)
		case measuring.Slew:
			if a.First {
				t.goTo(slewAim, a.To, true)
			} else {
				t.begin(slewAim, a.To, a.Asked)
			}
		case measuring.Choose:
			t.choose(a.Target)
		case measuring.Track:
			t.trackFor(a.Announced)
		case measuring.Rest:
			s.seek(noAim, t.in.Now)
			if a.Hold {
				t.ask(step.Hold{})
			}
		case measuring.Switch:
			t.outputs(a.Outputs)
		case measuring.Trim:
			s.setTrim(t.c, a.To, t.in.At, true)
		case measuring.Remodel:
			s.Trims, s.HasBack = a.Trims, false
			s.HasCourse = false
			s.Route = pointing.Route{}
		case measuring.BeginCheck:
			s.Watch.BeginCheck()
		case measuring.NoteCold:
			s.Watch.TakeCold(a.Cold, t.in.At)
		}
	}
}

// trackFor follows the target for a measurement.
func (t *work) trackFor(announced bool) {
	if !announced {
		t.begin(trackAim, mount.AxisAngles{}, true)
		return
	}
	t.s.Route = pointing.Route{}
	t.setOffFor(trackAim, mount.AxisAngles{})
}

// measuresEchoes reports that own echoes are being measured, or are about to be.
func (t *work) measuresEchoes() bool { return t.s.Echoes.Request != nil || t.s.Echoes.Waiting }

// busy names the measurement that is under way; empty where there is none.
func (t *work) busy() message.Message {
	if t.measuresEchoes() {
		return message.Of("measuring.echoes-run")
	}
	return t.s.Measuring.Busy()
}

// switchOutput switches one of the outputs.
func (t *work) switchOutput(bit enclosure.Outputs, on bool) {
	switched := t.s.Outputs &^ bit
	if on {
		switched |= bit
	}
	t.outputs(switched)
}

// outputs switches preamplifier and noise source.
func (t *work) outputs(o enclosure.Outputs) {
	t.s.Outputs, t.s.OutputsAt = o, t.in.Now
	t.ask(step.OutputsTo{Outputs: o})
}

// overtake ends the measurements that an order of the operator puts an end to.
func (t *work) overtake(o Order) {
	t.perform(measuring.Intervene(t.c, &t.s.Measuring, t.measuringInputs(), interventionOf(o)))
}

// interventionOf is what an order means for a measurement that is under way.
func interventionOf(o Order) (by measuring.Intervention) {
	switch o := o.(type) {
	case Stop, Track, Hold, SlewTo, Park, WindStow, SnowStow, Nudge, Jog, Push:
		return measuring.Intervention{Series: true, Check: true, Directs: true, Survey: true}
	case TakePeak, MeasureY, BandTo, Arm, BeamOnTarget, ReferenceTo, UndoReference:
		return measuring.Intervention{Series: true, Check: true, Survey: true}
	case Choose:
		return measuring.Intervention{Check: true, Survey: true}
	case CancelWarning:
		return measuring.Intervention{Series: true, Survey: true}
	case TrimTo, TrimBack, OffSource, UseModel, ModelBack, ForgetSurvey:
		return measuring.Intervention{Survey: true}
	case SurveyTo:
		return measuring.Intervention{Series: true, Check: true}
	case Preamplifier, NoiseSource:
		return measuring.Intervention{Series: true}
	case Compare:
		return measuring.Intervention{Check: true}
	case EndJob:
		by.Why = message.Of("desk.ended-by-operator")
	case Power:
		by.Check, by.Moves = true, !o.On
		if !o.On {
			by.Why = message.Of("desk.taken-over")
		}
	case Working:
		by.Check, by.Moves = true, o.On
		if o.On {
			by.Why = message.Of("desk.at-dish")
		}
	}
	return by
}
