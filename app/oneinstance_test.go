package main

import (
	"errors"
	"testing"

	"beamhelm/drive/link"
	"beamhelm/drive/rtu"
)

// line is an open port.
type line struct {
	rtu.Line
	closed bool
}

func (l *line) Close() error { l.closed = true; return nil }

// A panel that finds its port used by another program trusts no position after
// it, and never begins by references that it read before the other one's.
func TestAPortThatOthersHad(t *testing.T) {
	var wrong error
	var newest *line
	open := func() (rtu.Line, error) {
		if wrong != nil {
			return nil, wrong
		}
		newest = &line{}
		return newest, nil
	}
	heard, distrusted := true, 0
	opens := notAfterOthers(open, func() bool { return heard }, func() { distrusted++ })
	try := func(name string, with error, ok bool, times int) {
		t.Helper()
		wrong = with
		if _, err := opens(); (err == nil) != ok || distrusted != times {
			t.Errorf("%s: %v, distrusted %d times", name, err, distrusted)
		}
	}
	try("opened", nil, true, 0)
	try("unplugged", errors.New("no such device"), false, 0)
	try("plugged in again", nil, true, 0)
	try("another one has it", link.ErrInUse, false, 0)
	try("the other one let it go", nil, true, 1)
	try("once more", nil, true, 1)
	heard = false
	try("another one had it before the first answer", link.ErrInUse, false, 1)
	try("it let it go", nil, false, 1)
	if !newest.closed {
		t.Error("the port stays open")
	}
	try("for good", nil, false, 1)
}
