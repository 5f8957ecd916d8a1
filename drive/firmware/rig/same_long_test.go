//go:build peers && long

package rig

import "testing"

// TestSameAnswersLong is TestSameAnswers with 100,000 requests, from five seeds.
func TestSameAnswersLong(t *testing.T) {
	for _, body := range []Body{Chip, Native} {
		for seed := uint64(100); seed < 105; seed++ {
			t.Run(string(body), func(t *testing.T) { sameAnswers(t, body, seed, 20000) })
		}
	}
}
