package view_test

import (
	"math"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/view"
)

func deg(d float64) unit.Angle { return unit.AngleFromDeg(d) }

// wrap is a scene with ends at -50 and 410 and soft limits at -45 and 405 degrees.
func wrap() *desk.Scene {
	return &desk.Scene{
		SoftLow: [2]unit.Angle{deg(-45), 0}, SoftHigh: [2]unit.Angle{deg(405), deg(86)},
		EndLow: [2]unit.Angle{deg(-50), deg(-5)}, EndHigh: [2]unit.Angle{deg(410), deg(91)},
		TopPerS: [2]unit.Angle{deg(1.5), deg(1)}, AccelerationPerS2: [2]unit.Angle{deg(0.5), deg(0.5)},
		Structures: []desk.Structure{{Name: "mast", From: deg(196), To: deg(212), Min: deg(24)},
			{Name: "barn", From: deg(350), To: deg(10), Min: deg(8)}},
	}
}

func close(a, b, tolerance float64) bool { return math.Abs(a-b) <= tolerance }

func TestSkyPlot(t *testing.T) {
	// -54 to 414 degrees over 936 units: two units a degree.
	plot := view.SkyPlotOf(wrap(), 936, 180)
	rows := []struct{ az, el, x, y float64 }{
		{-54, 90, 0, 0}, {414, 0, 936, 180}, {0, 45, 108, 90}, {116.5, 40, 341, 100}, {-45, 86, 18, 8},
		{405, 1, 918, 178},
	}
	for _, row := range rows {
		if x, y := plot.X(deg(row.az)), plot.Y(deg(row.el)); !close(x, row.x, 1e-9) || !close(y, row.y, 1e-9) {
			t.Errorf("%v, %v: at %v, %v, want %v, %v", row.az, row.el, x, y, row.x, row.y)
		}
		if az, el := plot.Az(row.x).Deg(), plot.El(row.y).Deg(); !close(az, row.az, 1e-9) || !close(el, row.el, 1e-9) {
			t.Errorf("at %v, %v: %v, %v, want %v, %v", row.x, row.y, az, el, row.az, row.el)
		}
	}
	blank := view.SkyPlotOf(&desk.Scene{}, 360, 90)
	if blank.X(deg(90)) <= 0 || math.IsInf(blank.X(deg(90)), 0) {
		t.Errorf("without limits azimuth 90 lies at %v", blank.X(deg(90)))
	}
	if over := view.SkyPlotOf(&desk.Scene{SoftHigh: [2]unit.Angle{0, deg(180)}}, 360, 90); over.HighEl != deg(180) {
		t.Errorf("an axis that goes over the zenith: up to %v", over.HighEl.Deg())
	}
}

func TestBranches(t *testing.T) {
	plot := view.SkyPlotOf(wrap(), 936, 180)
	rows := []struct {
		az   float64
		want []float64
	}{
		{330, []float64{-30, 330}}, {10, []float64{10, 370}}, {180, []float64{180}}, {-30, []float64{-30, 330}},
		{45, []float64{45, 405}}, {60, []float64{60}}, {740, []float64{20, 380}},
	}
	for _, row := range rows {
		got := plot.Branches(deg(row.az))
		if len(got) != len(row.want) {
			t.Errorf("%v: %d branches, want %v", row.az, len(got), row.want)
			continue
		}
		for i := range got {
			if !close(got[i].Deg(), row.want[i], 1e-9) {
				t.Errorf("%v: branch %v, want %v", row.az, got[i].Deg(), row.want[i])
			}
		}
	}
}

func TestBranch(t *testing.T) {
	rows := []struct {
		name           string
		az, near, want float64
	}{
		{"on this side of north", 330, 300, 330},
		{"across north", 330, 20, -30},
		{"the cable allows only one", 50, 400, 50},
		{"at the limit itself", 45, 400, 405},
		{"from the lower end", 310, -40, 310},
		{"folded the other way", -30, 300, 330},
	}
	for _, row := range rows {
		if got := view.Branch(wrap(), deg(row.az), deg(row.near)).Deg(); !close(got, row.want, 1e-9) {
			t.Errorf("%s: %v, want %v", row.name, got, row.want)
		}
	}
}

// arc returns an arc through azimuths, an hour apart, from 10:00 on.
func arc(kind desk.BodyKind, azEl ...float64) desk.Arc {
	a := desk.Arc{Kind: kind, Name: "Moon"}
	at := time.Date(2027, 4, 14, 10, 0, 0, 0, time.UTC)
	for i := 0; i < len(azEl); i += 2 {
		a.Points = append(a.Points, desk.ArcPoint{At: at.Add(time.Duration(i/2) * time.Hour), Az: deg(azEl[i]),
			El: deg(azEl[i+1])})
	}
	return a
}

func TestWays(t *testing.T) {
	across := arc(desk.Moon, 340, 5, 350, 10, 10, 20, 60, 10, 80, -1)
	rows := []struct {
		name     string
		activity desk.Activity
		heading  float64
		first    float64
		others   int
	}{
		{"near its beginning below north", desk.Holding, 30, -20, 1},
		{"tracked beyond north the dish has chosen", desk.Tracking, 350, 340, 1},
		{"from far away the whole pass decides", desk.Holding, 300, -20, 1},
	}
	for _, row := range rows {
		n := now(func(s *desk.Status) {
			s.Scene, s.Activity = wrap(), row.activity
			s.Scene.Arcs = []desk.Arc{across}
			s.Target.Choice.Kind = desk.Moon
			s.At = across.Points[1].At
			s.Axes[0].Setpoint, s.Axes[0].HasSetpoint = deg(row.heading), true
		})
		ways := view.Ways(n, view.SkyPlotOf(n.Scene, 936, 180))
		if len(ways) != 1 || !ways[0].Target {
			t.Fatalf("%s: %+v", row.name, ways)
		}
		if got := ways[0].Points[0].Az.Deg(); !close(got, row.first, 1e-9) {
			t.Errorf("%s: begins at %v, want %v", row.name, got, row.first)
		}
		for i, point := range ways[0].Points[1:] {
			if step := (point.Az - ways[0].Points[i].Az).Deg(); step < 0 || step > 60 {
				t.Errorf("%s: the azimuth jumps by %v", row.name, step)
			}
		}
		if len(ways[0].Others) != row.others {
			t.Errorf("%s: other branches %v, want %d", row.name, ways[0].Others, row.others)
		}
		if hours := ways[0].Hours(); len(hours) != 4 || hours[0].Words != "10" || hours[3].Words != "13" {
			t.Errorf("%s: hours %+v", row.name, hours)
		}
	}
	if across.Points[0].Az != deg(340) {
		t.Error("the scene itself was changed")
	}
}

func TestSkyMarks(t *testing.T) {
	n := now(func(s *desk.Status) {
		s.Scene = wrap()
		s.Bodies = []desk.Body{{Kind: desk.Moon, Name: "Moon", Az: deg(20), El: deg(30)},
			{Kind: desk.Source, Name: "Cas A", Az: deg(330), El: deg(40)},
			{Kind: desk.Source, Name: "Vir A", Az: deg(90), El: deg(-3)}}
		s.Axes[0].Setpoint, s.Axes[0].HasSetpoint = deg(300), true
	})
	marks := view.SkyMarks(n, view.SkyPlotOf(n.Scene, 936, 180), nil)
	want := []struct {
		name   string
		axis   float64
		chosen bool
	}{{"Cas A", -30, false}, {"Cas A", 330, true}, {"Moon", 20, false}, {"Moon", 380, true}}
	if len(marks) != len(want) {
		t.Fatalf("%d marks, want %d: %+v", len(marks), len(want), marks)
	}
	for i, row := range want {
		if marks[i].Name != row.name || !close(marks[i].Axis.Deg(), row.axis, 1e-9) || marks[i].Chosen != row.chosen {
			t.Errorf("mark %d: %s at %v, chosen %v, want %+v", i, marks[i].Name, marks[i].Axis.Deg(), marks[i].Chosen,
				row)
		}
	}
}

func TestHorizonAt(t *testing.T) {
	scene := &desk.Scene{Horizon: make([]unit.Angle, 360)}
	scene.Horizon[0], scene.Horizon[359], scene.Horizon[90] = deg(4), deg(2), deg(10)
	for az, want := range map[float64]float64{0: 4, 359: 2, 359.5: 3, -0.5: 3, 90: 10, 90.25: 7.5, 450: 10} {
		if got := view.HorizonAt(scene, deg(az)).Deg(); !close(got, want, 1e-9) {
			t.Errorf("at %v: %v, want %v", az, got, want)
		}
	}
	if view.HorizonAt(&desk.Scene{}, deg(90)) != 0 {
		t.Error("a horizon that was not surveyed is not at 0")
	}
}

func TestCompass(t *testing.T) {
	for az, want := range map[float64]string{0: "N", -45: "NW", 45: "NE", 180: "S", 315: "NW", 360: "N", 405: "NE",
		22: "N", 23: "NE", 350: "N"} {
		if got := view.Compass(deg(az)); got != want {
			t.Errorf("%v: %s, want %s", az, got, want)
		}
	}
}

// The times of an even acceleration from rest to rest: twice the root of way
// over acceleration, or way over speed and speed over acceleration. Source:
// elementary kinematics.
func TestSlewSeconds(t *testing.T) {
	at := func(az, el float64) desk.AxisAngles { return desk.AxisAngles{Az: deg(az), El: deg(el)} }
	rows := []struct {
		name     string
		from, to desk.AxisAngles
		want     float64
	}{
		{"nothing to do", at(10, 10), at(10, 10), 0},
		{"azimuth at top speed", at(0, 10), at(90, 10), 60 + 3},
		{"elevation is slower", at(0, 0), at(30, 40), 40 + 2},
		{"too short for top speed", at(0, 10), at(2, 10), 4},
		{"backwards", at(90, 10), at(0, 10), 63},
		{"over the wrap it is not the short way", at(350, 10), at(10, 10), 340/1.5 + 3},
	}
	for _, row := range rows {
		if got := view.SlewSeconds(wrap(), row.from, row.to); !close(got, row.want, 1e-9) {
			t.Errorf("%s: %v s, want %v", row.name, got, row.want)
		}
	}
	if got := view.SlewSeconds(&desk.Scene{}, at(0, 0), at(1, 1)); !math.IsNaN(got) {
		t.Errorf("with speeds that are not known: %v", got)
	}
}

func TestOfferPlace(t *testing.T) {
	rows := []struct {
		name   string
		az, el float64
		change func(*desk.Status)
		next   string
		ready  bool
	}{
		{"free", 142.5, 33, nil, "go", true},
		{"beyond the cable", 406, 33, nil, "outside the azimuth limits (cable)", false},
		{"at the limit", 405, 33, nil, "go", true},
		{"too high", 142.5, 86.1, nil, "outside the elevation limits", false},
		{"behind the mast", 200, 23.9, nil, "mast: not below 24°", false},
		{"over the mast", 200, 24, nil, "go", true},
		{"behind the barn, across north", 365, 5, nil, "barn: not below 8°", false},
		{"locked out", 142.5, 33, func(s *desk.Status) { s.Lock.Locked = true }, "locked out: release first", false},
		{"not referenced", 142.5, 33, func(s *desk.Status) { s.Axes[0].Trusted = false },
			"reference the position first", false},
	}
	for _, row := range rows {
		n := now(func(s *desk.Status) {
			s.Scene = wrap()
			if row.change != nil {
				row.change(s)
			}
		})
		got := view.OfferPlace(n, desk.AxisAngles{Az: deg(row.az), El: deg(row.el)}, "go")
		if got.Next != row.next || got.Ready != row.ready {
			t.Errorf("%s: %q, ready %v, want %q, %v", row.name, got.Next, got.Ready, row.next, row.ready)
		}
		if got.Order != (desk.SlewTo{To: desk.AxisAngles{Az: deg(row.az), El: deg(row.el)}}) {
			t.Errorf("%s: order %+v", row.name, got.Order)
		}
	}
	n := now(func(s *desk.Status) { s.Scene = wrap(); s.Axes[0].Position, s.Axes[1].Position = deg(100), deg(0) })
	to := desk.AxisAngles{Az: deg(190)}
	got := view.OfferPlace(n, to, "go")
	if got.Head != "azimuth 190.0°, elevation 0.0°" || got.Under != "90.0° away, 1 min 3 s" {
		t.Errorf("says %q and %q", got.Head, got.Under)
	}
	if one := view.OneAxis(to, view.Azimuth).To; one.Az != deg(190) || one.El == one.El {
		t.Errorf("the azimuth alone: %+v", one)
	}
	if one := view.OneAxis(to, view.Elevation).To; one.El != 0 || one.Az == one.Az {
		t.Errorf("the elevation alone: %+v", one)
	}
}

func TestOfferBody(t *testing.T) {
	moon, cas := desk.Body{Kind: desk.Moon, Name: "Moon", Az: deg(116), El: deg(40)},
		desk.Body{Kind: desk.Source, Name: "Cas A", Az: deg(313), El: deg(45)}
	hold := func(s *desk.Status) { s.Activity = desk.Holding }
	rows := []struct {
		name   string
		body   desk.Body
		change func(*desk.Status)
		next   string
		want   desk.Order
	}{
		{"another while holding", cas, hold, "click again: make it the target",
			desk.Choose{Body: desk.BodyChoice{Kind: desk.Source, Name: "Cas A"}}},
		{"another while tracking", cas, nil, "click again: track it instead",
			desk.Choose{Body: desk.BodyChoice{Kind: desk.Source, Name: "Cas A"}}},
		{"the target while tracking", moon, nil, "the target", nil},
		{"the target while holding", moon, hold, "click again: track", desk.Track{On: true}},
		{"the target while locked out", moon, func(s *desk.Status) { hold(s); s.Lock.Locked = true },
			"the target; locked out: release first", nil},
	}
	for _, row := range rows {
		got := view.OfferBody(now(row.change), row.body)
		if got.Next != row.next || got.Order != row.want || got.Ready != (row.want != nil) {
			t.Errorf("%s: %q, %+v", row.name, got.Next, got.Order)
		}
	}
}

func TestCourse(t *testing.T) {
	at := func(az, el float64) desk.AxisAngles { return desk.AxisAngles{Az: deg(az), El: deg(el)} }
	got := view.Course(wrap(), at(0, 0), at(90, 20)) // elevation is there after 20 s, azimuth then at 30
	if len(got) != 3 || !close(got[1].Az.Deg(), 30, 1e-9) || !close(got[1].El.Deg(), 20, 1e-9) || got[2] != at(90, 20) {
		t.Errorf("corners %+v", got)
	}
	if got := view.Course(wrap(), at(0, 0), at(90, 0)); len(got) != 2 {
		t.Errorf("one axis alone has corners %+v", got)
	}
}

func TestGoingTo(t *testing.T) {
	if _, going := view.GoingTo(now(nil)); going {
		t.Error("tracking closely is shown as a slew")
	}
	to, going := view.GoingTo(now(func(s *desk.Status) { s.Axes[0].Setpoint = deg(200) }))
	if !going || to.Az != deg(200) {
		t.Errorf("a slew of 84°: %+v, %v", to, going)
	}
}

// Where the azimuth isn't referenced, the ways across the sky lie in the plot whatever its counts say.
func TestWaysUnreferenced(t *testing.T) {
	n := now(func(s *desk.Status) {
		s.Activity = desk.Idle
		s.Axes[0].Trusted, s.Axes[0].HasSetpoint, s.Axes[0].Position = false, false, unit.AngleFromDeg(-832.89)
	})
	plot := view.SkyPlotOf(n.Scene, 1000, 300)
	ways := view.Ways(n, plot)
	for _, way := range ways {
		middle := way.Points[len(way.Points)/2]
		if middle.Az < plot.LowAz || middle.Az > plot.HighAz {
			t.Errorf("%s at %.0f°", way.Name, middle.Az.Deg())
		}
	}
	if len(ways) < 2 {
		t.Error("no ways of Moon and Sun")
	}
}
