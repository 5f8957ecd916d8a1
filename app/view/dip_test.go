package view

import (
	"testing"

	"beamhelm/app/desk"
)

// Esc ends a measurement that moves the dish by itself also while the dish stands at one of its stops.
func TestEscEndsAMeasurement(t *testing.T) {
	s := desk.Status{Activity: desk.Holding}
	s.Link.Heard, s.Link.State = true, desk.LinkGood
	if now := At(&s, 0, 0); StopsOnEsc(now) {
		t.Fatalf("Esc stops a dish at rest; live %v", now.Live)
	}
	s.Receiving.Running = true
	if !StopsOnEsc(At(&s, 0, 0)) {
		t.Error("Esc does not end a measurement")
	}
}
