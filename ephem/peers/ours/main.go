// Command ours times the topocentric place of the Moon as the other programs of the folder
// above do: nanoseconds of processor time a place, and the first place.
package main

import (
	"fmt"
	"os"
	"strconv"
	"syscall"
	"time"

	"beamhelm/ephem"

	"github.com/soniakeys/unit"
)

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// run takes the number of places and the file of the pack; without a file it uses the series.
func run(args []string) error {
	count, err := strconv.Atoi(args[0])
	if err != nil {
		return err
	}
	var packed []byte
	if len(args) > 1 {
		if packed, err = os.ReadFile(args[1]); err != nil {
			return err
		}
	}
	sky, err := ephem.New(packed, ephem.Config{})
	if err != nil {
		return err
	}
	site := ephem.Site{Lat: unit.AngleFromDeg(55.02), Lon: unit.AngleFromDeg(-2.96), HeightM: 190}
	begin := time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	first := sky.Look(site, ephem.MoonBody(), begin)
	sum := 0.0
	from, err := spent()
	if err != nil {
		return err
	}
	for i := range count {
		look := sky.Look(site, ephem.MoonBody(), begin.Add(time.Duration(i)*time.Minute))
		sum += look.DistanceKm
	}
	to, err := spent()
	if err != nil {
		return err
	}
	if sum == 0 {
		return fmt.Errorf("nothing was computed")
	}
	fmt.Printf("%d %.5f %.5f %.3f %.4f\n", (to-from).Nanoseconds()/int64(count), first.Az.Deg(), first.El.Deg(),
		first.DistanceKm, first.RangeRateMps)
	return nil
}

// spent is the processor time of this process.
func spent() (time.Duration, error) {
	var usage syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &usage); err != nil {
		return 0, err
	}
	return time.Duration(usage.Utime.Nano() + usage.Stime.Nano()), nil
}
