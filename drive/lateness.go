package drive

import (
	"time"

	"beamhelm/drive/step"
)

// histogram counts how late ticks began: buckets of a twentieth of a
// millisecond up to 50 ms, the last for all beyond.
type histogram struct {
	buckets [1001]uint32
	count   uint64
	worst   time.Duration
}

const bucket = 50 * time.Microsecond

func (h *histogram) add(late time.Duration) {
	h.buckets[min(int(late/bucket), len(h.buckets)-1)]++
	h.count++
	h.worst = max(h.worst, late)
}

// view gives the percentiles in milliseconds, each the upper side of its bucket.
func (h *histogram) view() step.Lateness {
	v := step.Lateness{Ticks: h.count, Worst: milliseconds(h.worst)}
	if h.count == 0 {
		return v
	}
	targets := [...]struct {
		part float64
		to   *float64
	}{{0.5, &v.P50}, {0.99, &v.P99}, {0.999, &v.P999}}
	sum, k := uint64(0), 0
	for i, n := range h.buckets {
		sum += uint64(n)
		for k < len(targets) && float64(sum) >= targets[k].part*float64(h.count) {
			*targets[k].to = milliseconds(min(time.Duration(i+1)*bucket, h.worst))
			if i == len(h.buckets)-1 {
				*targets[k].to = milliseconds(h.worst)
			}
			k++
		}
	}
	return v
}

func milliseconds(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }
