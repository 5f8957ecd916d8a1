package desk

import (
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/watching"
	"beamhelm/drive/enclosure"
)

// watch judges what the dish does now: its readings, and whether it is as usual.
func (t *work) watch() {
	s, loop := t.s, t.in.Loop
	band, _ := t.c.Names(s.Band, s.Feed)
	on := s.Outputs&enclosure.OutputPreamplifier != 0 && s.SentSlow && t.in.Now-s.OutputsAt >= watching.SettlesAfter
	t.out.Events = append(t.out.Events, watching.Step(t.c, &s.Watch, &watching.Inputs{
		At: t.in.At, Now: t.in.Now, FastTime: t.in.TimeScale > 1, Loop: loop, Around: t.in.Around, Band: band,
		Commanded: pointing.Commanded(loop), Chain: s.chain(t.c), Referenced: pointing.Referenced(t.in.Loop),
		Disturbed: s.Measuring.Disturbs() || s.Excursion != (pointing.Excursion{}),
		PressedAt: s.NudgeAt, Checking: s.Measuring.Check.Run != nil, PreamplifierOn: on,
		Requested: s.Permit.Requested, Ended: s.Permit.Ended, Inhibits: t.inhibits,
	})...)
}
