// Command bench measures the motion of the drive on the simulated dish, in
// virtual time and with fixed seeds: slews against the bound of the dish's own
// top speed, acceleration and jerk, and tracking a pass of the Moon.
package main

import (
	"flag"
	"fmt"
	"os"
)

func main() {
	seeds := flag.Int("seeds", 40, "seeds of each slew")
	minutes := flag.Float64("minutes", 60, "length of each track")
	frosty := flag.Int("nights", 10, "gusty nights")
	which := flag.String("only", "", "slews, stepped, track, gusts or nights; empty for all")
	flag.Parse()
	bad := 0
	for _, part := range []struct {
		name string
		run  func() int
	}{
		{"slews", func() int { return slews(*seeds) }},
		{"stepped", func() int { return stepped(*seeds) }},
		{"track", func() int { return tracks(*minutes) }},
		{"gusts", func() int { return gusts(*minutes) }},
		{"nights", func() int { return nights(*frosty, *minutes) }},
	} {
		if *which == "" || *which == part.name {
			bad += part.run()
		}
	}
	if bad > 0 {
		fmt.Printf("%d goals missed\n", bad)
		os.Exit(1)
	}
}

// goal prints whether a figure keeps its goal, and returns 1 where it does not.
func goal(value, maximum float64) (string, int) {
	if maximum == 0 {
		return "", 0
	}
	if value <= maximum {
		return fmt.Sprintf(" (goal %.4g)", maximum), 0
	}
	return fmt.Sprintf(" (goal %.4g MISSED)", maximum), 1
}
