//go:build !race

// Without the race detector, for which it takes minutes: the nights share nothing.

package main

import (
	"fmt"
	"testing"
)

// Ten gusty, frosty nights without a fault: the guards find none.
func TestNightsWithoutATrip(t *testing.T) {
	for number := range 10 {
		t.Run(fmt.Sprint(number), func(t *testing.T) {
			t.Parallel()
			for i, f := range track(night(number), nightMinutes, nil) {
				if f.lost {
					t.Errorf("axis %d was given up", i)
				}
			}
		})
	}
}
