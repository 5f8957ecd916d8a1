package main

import (
	"testing"

	"beamhelm/drive/enclosure"
)

// The motor current tells of the load, and with it how far a push carries: gusts
// are followed much better with its sensor than without.
func TestCurrentShowsTheLoad(t *testing.T) {
	row := tracking{plant: air(12, 0.25, 0), config: tightest()}
	with := track(&row, 15, nil)
	row.blind = true
	without := track(&row, 15, nil)
	for i := range with {
		if with[i].lost || without[i].lost {
			t.Fatal("it did not follow to the end")
		}
		if with[i].rms > 0.7*without[i].rms || with[i].rms > 0.015 {
			t.Errorf("axis %d: rms %.4f degrees with the current, %.4f without", i, with[i].rms, without[i].rms)
		}
		if loss := with[i].learned.Loss; loss < 0.010 || loss > 0.020 {
			// 0.4 ohm at 24 V: 0.0167 of full drive for an ampere, somewhat less through the backlash in a push.
			t.Errorf("axis %d: %.4f of full drive lost for an ampere", i, loss)
		}
	}
}

// A sensor that is stuck, or a coarse one, does no harm.
func TestUselessCurrents(t *testing.T) {
	row := tracking{plant: air(12, 0.25, 0), config: tightest(), blind: true}
	without := track(&row, 15, nil)
	row.blind = false
	for name, spoil := range map[string]func(m *enclosure.Motion){
		"stuck": func(m *enclosure.Motion) { m.Current = [2]int16{150, 150} },
		"coarse": func(m *enclosure.Motion) {
			for i := range m.Current {
				m.Current[i] = m.Current[i] / 50 * 50
			}
		},
	} {
		row.spoil = spoil
		for i, f := range track(&row, 15, nil) {
			if f.lost || f.rms > 1.3*without[i].rms {
				t.Errorf("%s, axis %d: rms %.4f degrees, %.4f without any", name, i, f.rms, without[i].rms)
			}
		}
	}
}

// Gusts bend teeth and structure by several counts of a fine encoder: that is
// no axis that moves without being driven.
func TestFineCountsInGusts(t *testing.T) {
	p, c := fine(air(14, 0.25, 0), false)
	for i, f := range track(&tracking{plant: p, config: c}, 20, nil) {
		if f.lost {
			t.Errorf("axis %d was given up", i)
		}
	}
}

// A gust that takes most of the drive is no worm that slips, however little of the
// way that the drive alone would have given is gone.
func TestPushedAgainstGusts(t *testing.T) {
	for _, seed := range []uint64{3, 24, 30} { // each was given up once, after 8 to 22 minutes
		gusts := air(12, 0.25, 0)
		gusts.Seed = seed
		p, c := fine(gusts, false)
		for i, f := range track(&tracking{plant: p, config: c, setting: true}, 23, nil) {
			if f.lost {
				t.Errorf("seed %d, axis %d was given up", seed, i)
			}
		}
	}
}
