package noise

import (
	"math"
	"time"

	"beamhelm/app/view"
)

// markPeriods marks the columns that lie in our transmit periods of a timed contact, by the
// periods as they are set now. The last column is the newest; width is how many make the whole strip.
func markPeriods(columns []column, newest int64, width int, now view.Now) {
	each := float64(view.NoiseTime) / float64(max(width, 1))
	for i := range columns {
		number := newest - int64(len(columns)-1-i)
		columns[i].ours = view.WeTransmit(now, time.Unix(0, int64(math.Round(float64(number)*each))))
	}
}
