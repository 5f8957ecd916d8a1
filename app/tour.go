package main

import (
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"os"
	"time"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/panel"
	"beamhelm/drive/mount"
	"beamhelm/ending"
)

// tour is a demonstration: Track is pressed as if by hand, and after a while
// the window is pictured and closed.
type tour struct {
	lasts   time.Duration
	picture string
	desk    *desk.Runner
	window  *panel.Window
	err     error
}

func newTour(o options, d *desk.Runner, w *panel.Window) *tour {
	return &tour{lasts: o.demonstrate, picture: o.picture, desk: d, window: w}
}

// start begins the demonstration, if one is asked for, beside the window.
func (t *tour) start() {
	if t.lasts == 0 {
		return
	}
	ending.Go("demonstration", func() {
		t.err = t.give()
		t.window.Close()
	})
}

// give is the demonstration. It moves nothing that is real.
func (t *tour) give() error {
	if !t.desk.Status().Practice {
		return errors.New("a demonstration is for practice only (-practice)")
	}
	end := time.Now().Add(t.lasts)
	for time.Now().Before(end) && t.desk.Status().Activity != desk.Tracking {
		fyne.DoAndWait(func() { t.window.Press("track") })
		time.Sleep(time.Second)
	}
	time.Sleep(time.Until(end))
	var err error
	if t.picture != "" {
		var picture image.Image
		fyne.DoAndWait(func() { picture = t.window.Picture() })
		err = save(t.picture, picture)
	}
	if s := t.desk.Status(); s.Activity != desk.Tracking {
		err = errors.Join(err, fmt.Errorf("the demonstration did not end tracking: %s", s.Lock.Cause))
	}
	return err
}

func save(path string, picture image.Image) error {
	f, err := os.Create(path)
	if err != nil {
		return fmt.Errorf("picture of the window: %w", err)
	}
	if err := png.Encode(f, picture); err != nil {
		f.Close()
		return fmt.Errorf("picture of the window %s: %w", path, err)
	}
	return f.Close()
}

// report says where beam and target were at the end.
func (t *tour) report(stdout io.Writer) error {
	if t.lasts == 0 {
		return nil
	}
	s := t.desk.Status()
	is := mount.AxisAngles{Az: s.Axes[0].Position, El: s.Axes[1].Position}
	target := mount.SkyDirection{Az: s.Target.Az, El: s.Target.El}
	beam := target.Shift(mount.Offset{Cross: s.OffCross, El: s.OffEl})
	fmt.Fprintf(stdout, "axes    azimuth %.2f°, elevation %.2f°\n", is.Az.Deg(), is.El.Deg())
	fmt.Fprintf(stdout, "beam    azimuth %.2f°, elevation %.2f°\n", beam.Az.Mod1().Deg(), beam.El.Deg())
	fmt.Fprintf(stdout, "%-7s azimuth %.2f°, elevation %.2f°, %.2f° from the beam\n",
		s.Target.Name, target.Az.Deg(), target.El.Deg(), mount.Apart(target, beam).Deg())
	fmt.Fprintf(stdout, "lateness of %d ticks: p50 %.1f ms, p99 %.1f ms, p99.9 %.1f ms\n",
		s.Lateness.Ticks, s.Lateness.P50, s.Lateness.P99, s.Lateness.P999)
	return t.err
}
