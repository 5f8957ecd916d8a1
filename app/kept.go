package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/settings/kept"
	"beamhelm/app/wear"
	"beamhelm/drive/mount"
)

// What is kept, by name.
const (
	keptReferences = "references"
	keptLearned    = "learned"
	keptTrims      = "trims"
	keptRadio      = "radio"
	keptSurvey     = "survey"
	keptReceiver   = "receiver"
	keptHearing    = "hearing"
	keptUsual      = "usual"
	keptWindow     = "window"
	keptCommission = "commissioning"
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
}

// remember reads what the last session kept. What is damaged is told and left out.
func (p *session) remember() (desk.Kept, error) {
	var k desk.Kept
	damage := func(err error) error {
		if d, ok := errors.AsType[*kept.Damage](err); ok {
			p.tell(d)
			return nil
		}
		return err
	}
	var err error
	if k.References, err = kept.Read(p.store, keptReferences, [2]mount.Reference{}, nil); damage(err) != nil {
		return k, err
	}
	if k.Learned, err = kept.Read(p.store, keptLearned, k.Learned, nil); damage(err) != nil {
		return k, err
	}
	if k.Radio, err = kept.Read(p.store, keptRadio, k.Radio, nil); damage(err) != nil {
		return k, err
	}
	if k.Survey, err = kept.Read(p.store, keptSurvey, k.Survey, nil); damage(err) != nil {
		return k, err
	}
	if k.Receiver, err = kept.Read(p.store, keptReceiver, k.Receiver, nil); damage(err) != nil {
		return k, err
	}
	heard, err := kept.Read(p.store, keptHearing, hearing{}, nil)
	if damage(err) != nil {
		return k, err
	}
	k.Cold, k.AverageMS = heard.Cold, heard.AverageMS
	p.operator.Store(&heard.Operator)
	if k.Commissioning, err = kept.Read(p.store, keptCommission, k.Commissioning, nil); damage(err) != nil {
		return k, err
	}
	does, err := kept.Read(p.store, keptUsual, usual{}, nil)
	if damage(err) != nil {
		return k, err
	}
	k.Usual, k.Cable, k.Check = does.Entries, does.Cable, does.Check
	t, err := kept.Read(p.store, keptTrims, trims{}, func(t trims) error {
		for _, trim := range t.Trims {
			if !trim.Valid() {
				return fmt.Errorf("the trim of %s, %s can't be used", trim.Band, trim.Feed)
			}
		}
		return nil
	})
	k.Trims, k.Band, k.Feed = t.Trims, t.Band, t.Feed
	return k, damage(err)
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
			p.write()
		}
	}
}

// write writes what has changed since it was last written. In practice the
// references, what the drives have shown and what is usual belong to a dish that is gone when the window closes.
func (p *session) write() {
	k := p.desk.Kept()
	p.put(keptTrims, trims{k.Trims, k.Band, k.Feed})
	p.put(keptRadio, k.Radio)
	p.put(keptSurvey, k.Survey)
	p.put(keptReceiver, k.Receiver)
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
