package main

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"syscall"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/app/message"
)

// writeFor is how long writing is watched.
const writeFor = 60 * time.Second

// writing measures what recording a moving dish costs: a status ten times a
// second, all readings fitted and changing, two events a second.
func writing(folder string) error {
	path := filepath.Join(folder, "writing.db")
	defer os.Remove(path)
	j, err := journal.New(journal.Config{Path: path, Began: time.Now()})
	if err != nil {
		return err
	}
	ctx, end := context.WithTimeout(context.Background(), writeFor)
	defer end()
	done := make(chan struct{})
	before, began := spent(), time.Now()
	go func() {
		j.Run(ctx)
		close(done)
	}()
	longest, number := time.Duration(0), uint64(0)
	ticker := time.NewTicker(100 * time.Millisecond)
	defer ticker.Stop()
	for ctx.Err() == nil {
		<-ticker.C
		s := moving(time.Now())
		at := time.Now()
		j.Take(s)
		if number++; number%5 == 0 {
			j.Event(desk.Event{Number: number, At: s.At, Words: message.Text("A reading has changed its grade")})
		}
		longest = max(longest, time.Since(at))
	}
	<-done
	if j.Trouble() != "" || j.Dropped() > 0 {
		return fmt.Errorf("writing: %s, %d rows lost", j.Trouble(), j.Dropped())
	}
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	fmt.Printf("recording a moving dish for %.0f s: %.2f %% of one core; longest wait of the caller %.2f ms; %.1f kB "+
		"a second\n",
		time.Since(began).Seconds(), 100*(spent()-before).Seconds()/time.Since(began).Seconds(), milliseconds(longest),
		float64(info.Size())/1000/writeFor.Seconds())
	return nil
}

func moving(at time.Time) *desk.Status {
	s := &desk.Status{At: at, Moving: true, Activity: desk.Tracking, Link: desk.Link{State: desk.LinkGood}}
	for i := range s.Readings {
		s.Readings[i] = desk.Reading{Fitted: true, Value: rand.Float64()}
	}
	for i := range s.Axes {
		s.Axes[i] = desk.Axis{Fitted: true, Trusted: true, HasSetpoint: true, CurrentA: math.Abs(rand.NormFloat64())}
	}
	return s
}

// spent is the processor time of this process.
func spent() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err) // it can't fail for oneself
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
