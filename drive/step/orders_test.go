package step

import (
	"math"
	"testing"

	"beamhelm/drive/enclosure"
)

// What goes out as a demand is a drive from -1 to 1, and nothing else is.
func TestADemandIsADrive(t *testing.T) {
	for _, w := range []struct {
		demand   float64
		reversed bool
		want     int16
	}{
		{0, false, 0}, {1, false, 10000}, {-1, false, -10000}, {1, true, -10000}, {-0.25, true, 2500},
		{1.001, false, 0}, {-2, true, 0}, {math.NaN(), false, 0}, {math.NaN(), true, 0}, {math.Inf(1), false, 0},
		{math.Inf(-1), false, 0},
	} {
		if got := register(w.demand, w.reversed); got != w.want {
			t.Errorf("%v, reversed %v: %d, want %d", w.demand, w.reversed, got, w.want)
		}
	}
}

// Whatever was planned, an axis is driven with drive power on and fitted, and never else.
func TestNoDemandWithoutPower(t *testing.T) {
	for power := PowerOff; power <= PowerOn; power++ {
		c := Default()
		c.Axes[Elevation].Fitted = false
		s := New(&c, Kept{})
		s.Power = power
		s.Axes[Azimuth].Demand, s.Axes[Elevation].Demand = 5000, 5000
		var want int16
		if power == PowerOn {
			want = 5000
		}
		if d := s.orders(&c, &Inputs{}).Demand; d.Az != want || d.El != 0 {
			t.Errorf("%v: azimuth %d, elevation, which is not fitted, %d", power, d.Az, d.El)
		}
	}
}

// No write that orders drive power clears a trip, whatever trips came meanwhile.
func TestNoTripIsClearedWithPower(t *testing.T) {
	for power := PowerOff; power <= PowerOn; power++ {
		for trip := enclosure.TripWatchdog; trip <= enclosure.TripElEncoder; trip <<= 1 {
			c := Default()
			s := New(&c, Kept{})
			s.Power, s.Observed.Trips = power, trip
			d := s.orders(&c, &Inputs{}).Demand
			if d.Orders.Has(enclosure.OrderPower) && d.Clear != 0 || (d.Clear != 0) != (power == PowerClearing) {
				t.Errorf("%v: orders %v clear %v", power, d.Orders, d.Clear)
			}
		}
	}
}
