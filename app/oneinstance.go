package main

import (
	"errors"
	"sync/atomic"

	"beamhelm/app/settings/kept"
	"beamhelm/drive/link"
	"beamhelm/drive/rtu"
	"beamhelm/drive/step"
)

// lockDish keeps every other panel of this dish out, from the start to the end
// of this process, and refuses to start where there is one: a panel that waited
// for another to end would go on by references that it read before.
func (p *session) lockDish() error {
	if p.source.Practice {
		return nil
	}
	lock, err := kept.LockDish(p.store, p.settings.Link.Port)
	if errors.Is(err, kept.ErrLocked) {
		return err
	}
	p.tell(err) // without a lock the port itself still keeps two panels apart
	p.lock = lock
	if err := link.Free(p.settings.Link.Port); errors.Is(err, link.ErrInUse) {
		return err
	}
	return nil
}

// errOvertaken: somebody else had the port before this panel ever did.
var errOvertaken = errors.New("another program used the port after this panel began: what it knows of the position " +
	"is older; start the panel again")

// notAfterOthers opens a port, but has positions distrusted where another
// program had it meanwhile: heard reports that the enclosure has answered this
// panel before, without which there is no position to distrust yet.
func notAfterOthers(open link.Opener, heard func() bool, distrust func()) link.Opener {
	var others atomic.Bool
	return func() (rtu.Line, error) {
		line, err := open()
		switch {
		case errors.Is(err, link.ErrInUse):
			others.Store(true)
			return nil, err
		case err != nil || !others.Load():
			return line, err
		case !heard():
			return nil, errors.Join(errOvertaken, line.Close())
		}
		others.Store(false)
		distrust()
		return line, nil
	}
}

// heard reports that the enclosure has answered.
func (p *session) heard() bool { return p.loop.Status().Link.Replies > 0 }

// distrust throws away the references of both axes.
func (p *session) distrust() {
	for axis := range 2 {
		p.loop.Ask(step.Distrust{Axis: axis})
	}
}
