package plan

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"fyne.io/fyne/v2"
	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
	"beamhelm/ephem/sked"
)

// skedStatus is a status with two invented windows.
func skedStatus(s *desk.Status) {
	from := stage.Evening().Truncate(24 * time.Hour).Add(19 * time.Hour)
	window := func(days int, polarisation float64) desk.Sked {
		begin := from.AddDate(0, 0, days)
		return desk.Sked{Window: sked.Window{From: begin, To: begin.Add(5 * time.Hour)}, Best: begin.Add(2 * time.Hour),
			El: unit.AngleFromDeg(38), SunOff: unit.AngleFromDeg(102),
			Ends: []sked.End{{Name: "Quarry Ridge", El: unit.AngleFromDeg(29),
				SpreadHz: 14.4, DopplerHz: -447, DriftHzPerS: -0.1, Spatial: unit.AngleFromDeg(23),
				Losses: sked.Losses{DistanceDB: 0.33, NoiseDB: 0.04, PolarisationDB: polarisation}}}}
	}
	chart := month()
	chart.Month, chart.Days = stage.Evening().Truncate(24*time.Hour), 29
	s.Skeds = &desk.Skeds{From: s.At, Days: 28, Partners: []string{"Quarry Ridge"}, Band: "5760 MHz", Mode: "Morse",
		ToleratedHz: 50,
		Shortest:    30 * time.Minute, SunLeft: unit.AngleFromDeg(5), List: []desk.Sked{window(3, 0.7), window(0, 3)},
		Chart: chart}
}

// The button asks for skeds; what the desk then tells takes the month's place, and gives it back.
func TestSkedsTakeTheMonthsPlace(t *testing.T) {
	p, d, _ := open(t, nil)
	p.skeds.Tapped(nil)
	if asked := d.Asked(); len(asked) != 1 || asked[0] != (desk.SkedsTo{On: true}) {
		t.Fatalf("asked %+v", asked)
	}
	status := *d.Status()
	skedStatus(&status)
	p.Show(view.At(&status, 0, 0))
	if p.next.Object().Visible() || p.before.Visible() || !p.best.Object().Visible() || !p.all.Visible() ||
		p.ridge.plan != status.Skeds.Chart {
		t.Error("the month is still shown")
	}
	for got, want := range map[string]string{
		p.head.ControlWords():    "Skeds with Quarry Ridge · practice",
		p.moment.ControlWords():  "17 Apr (Sat) 21:00: −1.1 dB · Moon 38° here, 29° at Quarry Ridge",
		p.reasons.ControlWords(): "distance −0.3, noise 0.0, air 0.0, polarisation −0.7, spread 0.0",
		p.facts.ControlWords():   "degradation 0.4 dB · spread 14 Hz, 50 Hz tolerated · Sun 102°",
		p.tune.ControlWords():    "Doppler −447 Hz, −0.10 Hz/s · linear feeds +23° apart",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	p.skeds.Tapped(nil)
	if asked := d.Asked(); len(asked) != 1 || asked[0] != (desk.SkedsTo{}) {
		t.Errorf("asked %+v", asked)
	}
	status.Skeds = nil
	p.Show(view.At(&status, 0, 0))
	if !p.next.Object().Visible() || p.best.Object().Visible() || p.ridge.plan != status.Plan {
		t.Error("the month is not back")
	}
}

func TestSkedsAreChosenAndWritten(t *testing.T) {
	p, d, layer := open(t, skedStatus)
	named := func(name string) fyne.Tappable {
		for _, placed := range widget.Inventory(layer.Object()) {
			if placed.Name == name {
				return placed.Object.(fyne.Tappable)
			}
		}
		t.Fatalf("no %s", name)
		return nil
	}
	p.all.Tapped(nil)
	named("sked-2027-04-14-1900").Tapped(nil)
	if asked, ok := stage.Only[desk.LookAt](d.Asked()); !ok || asked.At.Hour() != 21 {
		t.Errorf("asked %+v", asked)
	}
	p.length.Tapped(nil)
	named("sked-length-120").Tapped(nil)
	if asked := d.Asked(); len(asked) != 1 || asked[0] != (desk.SkedsTo{On: true, Minutes: 120}) {
		t.Errorf("asked %+v", asked)
	}
	path := filepath.Join(t.TempDir(), "skeds")
	for button, ending := range map[string]string{"plan-csv": ".csv", "plan-calendar": ".ics"} {
		p.openExport()
		for _, placed := range widget.Inventory(layer.Object()) {
			if placed.Name == "plan-path-entry" {
				placed.Object.(*widget.Entry).SetText(path)
			}
		}
		press := named(button)
		synctest.Test(t, func(*testing.T) {
			press.Tapped(nil)
			synctest.Wait()
		})
		if text, err := os.ReadFile(path + ending); err != nil || strings.Count(string(text), "Quarry Ridge") < 2 {
			t.Errorf("%s: %v: %s", ending, err, text)
		}
	}
}
