package station

import (
	"math"
	"strings"
	"testing"

	"beamhelm/app/settings"
)

func TestSettingsBecomeTheDrive(t *testing.T) {
	s := settings.Practice()
	// Common practice, no source: 300 pulses, every edge counted, geared 3 to 1, make 0.1 degree a count.
	s.Axes.Azimuth.Pulses, s.Axes.Azimuth.GearRatio, s.Axes.Azimuth.DriveDirection = 300, 3, -1
	c, err := DriveConfig(s)
	if err != nil {
		t.Fatal(err)
	}
	if got := c.Axes[0].Scale.Step.Deg(); math.Abs(got-0.1) > 1e-12 || !c.Axes[0].Drive.Reversed {
		t.Errorf("step %v, reversed %v", got, c.Axes[0].Drive.Reversed)
	}
	if minimum, ok := c.Structures.Min(degrees(200)); !ok || math.Abs(minimum.Deg()-24) > 1e-9 {
		t.Errorf("the mast is %v, %v", minimum.Deg(), ok)
	}
	s.Axes.Elevation.UpperSoftDeg = s.Axes.Elevation.UpperEndDeg - 0.5
	if _, err := DriveConfig(s); err == nil || !strings.Contains(err.Error(), "elevation") {
		t.Errorf("a soft limit half a degree from the end was taken: %v", err)
	}
}

func TestHorizonGoesRound(t *testing.T) {
	points := []settings.Point{{AzDeg: 10, ElDeg: 1}, {AzDeg: 350, ElDeg: 3}}
	for az, want := range map[float64]float64{10: 1, 350: 3, 0: 2, 5: 1.5, 355: 2.5, 180: 2} {
		if got := horizonAt(points, az); math.Abs(got-want) > 1e-12 {
			t.Errorf("at %v: %v, want %v", az, got, want)
		}
	}
}

func TestTaperFactor(t *testing.T) {
	// Integrated illumination of a parabola on a pedestal; 58.9 for an even one is in textbooks.
	for db, want := range map[float64]float64{0: 58.96, 10: 65.2, 11: 65.75, 15: 67.7, 60: 72.7} {
		if got := taperFactor(db); math.Abs(got-want) > 0.01 {
			t.Errorf("%v dB: %v, want %v", db, got, want)
		}
	}
}
