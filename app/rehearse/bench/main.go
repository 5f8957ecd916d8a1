// Command bench measures what peaks and Y factors find against what the simulated
// dish and receiver really are, in virtual time, over some seeds: the real desk, loop and line.
package main

import (
	"fmt"
	"math"
	"os"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/desk/peak"
	"beamhelm/app/rehearse"
	"beamhelm/app/settings"
	"beamhelm/assets"
	"beamhelm/ephem"
	"beamhelm/ephem/catalogue"
	"beamhelm/ephem/noise"
)

const seeds = 10

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

func run() error {
	sky, err := ephem.New(assets.Ephemeris(), ephem.Config{})
	if err != nil {
		return err
	}
	sources, err := catalogue.Parse(assets.Sources())
	if err != nil {
		return err
	}
	names := []string{"trim, beamwidths", "beamwidth, share", "system noise, share", "G/T, dB"}
	goals := []float64{0.02, 0.05, 0.03, 0.2}
	worst := make([]float64, len(names))
	for seed := range uint64(seeds) {
		found, err := evening(sky, sources, seed+1)
		if err != nil {
			return fmt.Errorf("seed %d: %w", seed+1, err)
		}
		for i, v := range found {
			worst[i] = max(worst[i], math.Abs(v))
		}
	}
	fmt.Printf("the Sun at 1296 MHz, position wrong by 0.5 and -0.4 degrees, %d seeds, virtual time; worst of all:\n",
		seeds)
	for i, name := range names {
		fmt.Printf("  %-19s off by %.4f (goal %.2f)\n", name, worst[i], goals[i])
	}
	if err := peaks(); err != nil {
		return err
	}
	return mounts()
}

// evening tracks the Sun with a wrong position, peaks, uses the trim and measures
// the receiver. It returns how far off trim, beamwidth, system noise and G/T are.
func evening(sky *ephem.Sky, sources catalogue.Catalogue, seed uint64) (off [4]float64, err error) {
	from := time.Date(2027, 4, 14, 13, 0, 0, 0, time.UTC)
	w, err := rehearse.NewWorld(settings.Practice(), sky, sources,
		rehearse.Script{From: from, Seed: seed, HasBeam: true, Az: 200, El: 40})
	if err != nil {
		return off, err
	}
	pass(w, 3*time.Second)
	for axis, wrong := range [2]float64{0.5, -0.4} {
		w.Desk.Ask(desk.ReferenceTo{Axis: axis, Angle: w.Desk.Status().Axes[axis].Position + unit.AngleFromDeg(wrong)})
	}
	w.Desk.Ask(desk.Choose{Body: desk.BodyChoice{Kind: desk.Sun, Name: "Sun"}})
	pass(w, time.Second)
	w.Desk.Ask(desk.Track{On: true})
	pass(w, time.Minute)
	w.Desk.Ask(desk.TakePeak{Sweeps: true})
	pass(w, 4*time.Minute)
	p := w.Desk.Status().Peak.Last
	if p == nil || p.Why.Code != "" {
		return off, fmt.Errorf("no peak: %+v", w.News())
	}
	half := w.Desk.Status().Band.HalfPower
	// The truth: how far the true beam is from the Sun where the trim stands as found, the mean over a
	// minute so that the tolerance of tracking falls out.
	w.Desk.Ask(desk.UsePeak{})
	pass(w, 20*time.Second)
	var across, up float64
	const ticks = 600
	for range ticks {
		w.Advance()
		s, truth := w.Desk.Status(), w.Dish.Truth()
		// What the desk believes it is off by is not the trim's fault.
		across += (truth.Azimuth-s.Target.Az).Deg()*s.Target.El.Cos() - s.OffCross.Deg()
		up += (truth.Elevation - s.Target.El).Deg() - s.OffEl.Deg()
	}
	off[0] = math.Hypot(across, up) / ticks / half.Deg()
	// The simulated beam is 70 wavelengths over the diameter, degrees, whatever the settings work out.
	dish, band := settings.Practice().Dish, settings.Practice().Bands[0]
	truth := peak.NewShape(noise.HalfPower(band.MHz*1e6, dish.DiameterM), w.Desk.Status().Target.Diameter).Width
	off[1] = (p.Curves[0].Fit.Stretch+p.Curves[1].Fit.Stretch)/2*p.Curves[0].Shape.Width.Rad()/truth.Rad() - 1
	w.Desk.Ask(desk.MeasureY{})
	beside := 0.0
	for range 5 * 60 * 10 {
		w.Advance()
		if s := w.Desk.Status(); s.OffSource != 0 && s.Receiving.Running {
			beside = w.Dish.Truth().SystemK
		}
	}
	r := w.Desk.Status().Receiving.Last
	if r == nil || r.Why.Code != "" {
		return off, fmt.Errorf("no Y factor: %+v", w.News())
	}
	off[2] = r.Figures.SystemK/beside - 1
	off[3] = r.Figures.GTDB - (r.Figures.ExpectedGTDB + 10*math.Log10(r.Figures.ExpectedSystemK/beside))
	return off, nil
}

func pass(w *rehearse.World, d time.Duration) {
	for until := w.Now() + d; w.Now() < until; {
		w.Advance()
	}
}
