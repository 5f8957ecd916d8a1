package main

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/lastsession"
	"beamhelm/app/settings/kept"
	"beamhelm/app/wear"
	"beamhelm/clock"
	"beamhelm/drive/step"
	"beamhelm/ending"
)

// What is kept, by name.
const (
	keptReferences = "references"
	keptLearned    = "learned"
	keptTrims      = "trims"
	keptRadio      = kept.Radio
	keptSurvey     = "survey"
	keptReceiver   = "receiver"
	keptHearing    = "hearing"
	keptUsual      = "usual"
	keptWindow     = "window"
	keptCommission = "commissioning"
	keptEchoes     = "own-echoes"
)

// hearing is what is kept of the noise meter, and who sits at the desk.
type hearing struct {
	Cold      []desk.ColdSky `json:"cold,omitempty"`
	AverageMS int            `json:"average_ms,omitempty"`
	Operator  string         `json:"operator,omitempty"`
}

// usual is what is kept of what the dish usually does.
type usual struct {
	Entries []wear.Entry      `json:"entries,omitempty"`
	Cable   []desk.CableCount `json:"cable,omitempty"`
	Check   *desk.CheckResult `json:"check,omitempty"`
}

// trims is what is kept of the operator's work at the desk.
type trims struct {
	Trims []desk.KeptTrim `json:"trims"`
	Band  string          `json:"band"`
	Feed  string          `json:"feed"`
	// Places are the operator's own.
	Places []desk.BodyChoice `json:"places,omitempty"`
}

// remember reads what the last session kept. What is damaged or can't be read
// is told and left out: nothing of it is a condition for starting.
func (p *session) remember() desk.Kept {
	var k desk.Kept
	k.References = recalled(p, keptReferences, k.References, nil)
	k.Learned = recalled(p, keptLearned, k.Learned, nil)
	k.Radio = recalled(p, keptRadio, k.Radio, nil)
	k.Survey = recalled(p, keptSurvey, k.Survey, nil)
	k.Receiver = recalled(p, keptReceiver, k.Receiver, nil)
	k.Commissioning = recalled(p, keptCommission, k.Commissioning, nil)
	k.OwnEchoes = recalled(p, keptEchoes, k.OwnEchoes, nil)
	heard := recalled(p, keptHearing, hearing{}, nil)
	k.Cold, k.AverageMS = heard.Cold, heard.AverageMS
	p.operator.Store(&heard.Operator)
	does := recalled(p, keptUsual, usual{}, nil)
	k.Usual, k.Cable, k.Check = does.Entries, does.Cable, does.Check
	t := recalled(p, keptTrims, trims{}, func(t trims) error {
		for _, trim := range t.Trims {
			if !trim.Valid() {
				return fmt.Errorf("the trim of %s, %s can't be used", trim.Band, trim.Feed)
			}
		}
		return nil
	})
	k.Trims, k.Band, k.Feed, k.Places = t.Trims, t.Band, t.Feed, t.Places
	if p.source.Practice {
		return k
	}
	var err error
	if p.left, err = lastsession.Read(p.store, k.References); err != nil {
		p.tell(err)
	}
	if p.crashed != "" && p.left.Words != "" {
		p.left.Words += "; " + p.crashed
	}
	p.keeper = lastsession.NewKeeper(p.store, p.left, clock.Now().UTC())
	return k
}

// recalled is a kept value, or otherwise.
func recalled[T any](p *session, name string, otherwise T, valid func(T) error) T {
	value, err := kept.Read(p.store, name, otherwise, valid)
	p.tell(err)
	return value
}

// handedOn is what the last session hands on to the drive.
func (p *session) handedOn(k desk.Kept) step.Kept {
	return step.Kept{
		References: k.References, Learned: k.Learned,
		Distrusted: p.left.Distrusted, Locked: p.left.Locked, Cause: p.left.Cause,
	}
}

// keepEvery is how often what has changed is written.
const keepEvery = 2 * time.Second

// keep writes what is to be kept every so often.
func (p *session) keep(ctx context.Context) {
	ticker := time.NewTicker(keepEvery)
	defer ticker.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
			ending.Here("keeping")
			p.write()
		}
	}
}

// write writes what has changed since it was last written. In practice the
// references, what the drives have shown and what is usual belong to a dish that is gone when the window closes.
func (p *session) write() {
	k := p.desk.Kept()
	p.put(keptTrims, trims{k.Trims, k.Band, k.Feed, k.Places})
	p.put(keptRadio, k.Radio)
	p.put(keptSurvey, k.Survey)
	p.put(keptReceiver, k.Receiver)
	if len(k.OwnEchoes) > 0 {
		p.put(keptEchoes, k.OwnEchoes)
	}
	if !k.Commissioning.Begun.IsZero() {
		p.put(keptCommission, k.Commissioning)
	}
	if look := p.look.Load(); look != nil {
		p.put(keptWindow, *look)
	}
	p.put(keptHearing, hearing{k.Cold, k.AverageMS, p.Operator()})
	if p.dish == nil {
		p.put(keptReferences, k.References)
		p.put(keptLearned, k.Learned)
		p.put(keptUsual, usual{k.Usual, k.Cable, k.Check})
	}
}

// put writes a value when it differs from what was last written. A failure is
// told once, until it goes well again.
func (p *session) put(name string, value any) {
	text, err := json.Marshal(value)
	if err != nil || string(text) == p.written[name] {
		return
	}
	if err := p.store.Write(name, value); err != nil {
		if !p.failing[name] {
			p.tell(err)
		}
		p.failing[name] = true
		return
	}
	p.written[name], p.failing[name] = string(text), false
}
