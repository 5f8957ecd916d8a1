package link

import (
	"context"
	"fmt"
	"os"
	"testing"
	"time"

	"go.uber.org/goleak"

	"beamhelm/drive"
	"beamhelm/drive/enclosure"
)

// childPort names, in its environment, the port that a child process opens;
// childWork is slew or open.
const (
	childPort = "BEAMHELM_TEST_PORT"
	childWork = "BEAMHELM_TEST_WORK"
)

func TestMain(m *testing.M) {
	if path := os.Getenv(childPort); path != "" {
		if os.Getenv(childWork) == "slew" {
			os.Exit(slew(path))
		}
		os.Exit(open(path))
	}
	goleak.VerifyTestMain(m)
}

// open opens a port, prints a line and ends.
func open(path string) int {
	for range 200 {
		line, err := Serial(Settings{Path: path})()
		if err == nil {
			fmt.Println("open")
			_ = line.Close()
			return 0
		}
		time.Sleep(10 * time.Millisecond)
	}
	return 1
}

// slew is a panel that slews at full drive until it is killed.
func slew(path string) int {
	began := time.Now()
	port, err := NewPort(Serial(Settings{Path: path}), began, Default())
	if err != nil {
		fmt.Println(err)
		return 1
	}
	go func() {
		if err := port.Run(context.Background()); err != nil {
			fmt.Println(err)
		}
	}()
	ask := func(d enclosure.Demand) drive.Reply {
		d.WatchdogMillis = 1000
		return port.Exchange(drive.Request{Demand: d, Deadline: time.Since(began) + 90*time.Millisecond})
	}
	for ; ; time.Sleep(50 * time.Millisecond) {
		r := ask(enclosure.Demand{Orders: enclosure.OrderPower, Az: enclosure.FullDrive})
		if r.Err == nil && r.Motion.State&enclosure.StatePower == 0 && r.Motion.More&enclosure.MoreComingOn == 0 {
			ask(enclosure.Demand{Clear: enclosure.AllTrips})
			ask(enclosure.Demand{Orders: enclosure.OrderPower})
		}
	}
}
