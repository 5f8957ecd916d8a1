package desk

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/radio"
	"beamhelm/assets"
	"beamhelm/drive/step"
	"beamhelm/ephem/noise"
)

// radioBench is a bench with a table of the sky and a list of partners.
func radioBench(t *testing.T) *bench {
	t.Helper()
	b := newBench(t)
	galaxy, err := noise.ParseSky(assets.Sky408())
	if err != nil {
		t.Fatal(err)
	}
	b.c.Galaxy = galaxy
	b.s.takeRadio(&b.c,
		KeptRadio{Kept: radio.Kept{Partners: "name,locator,polarisation,note\nQuarry Ridge,FN42hn,circular,\nWattle " +
			"Plain,QF22ag,horizontal,\n"}})
	return b
}

func TestRadioOncePerSecond(t *testing.T) {
	b := radioBench(t)
	b.after(0)
	first := b.out.Status.Radio
	if first == nil || first.HasPartner || len(first.Partners) != 2 {
		t.Fatalf("radio %+v", first)
	}
	b.after(500 * time.Millisecond)
	if b.out.Status.Radio != first {
		t.Error("worked out anew within a second")
	}
	b.after(600 * time.Millisecond)
	if b.out.Status.Radio == first {
		t.Error("not worked out anew after a second")
	}
}

// An identity: the mutual tuning by which each corrects its own leg, and that by
// which we correct all, differ by the partner's leg; and who corrects nothing sends on the agreed frequency.
func TestPartnerAndConvention(t *testing.T) {
	b := radioBench(t)
	b.after(0, PartnerTo{Name: "Quarry Ridge"})
	r := b.out.Status.Radio
	if !r.HasPartner || r.Partner.Locator != "FN42hn" || math.Abs(r.PartnerEl.Deg()) > 10 {
		t.Fatalf("partner %+v at %.1f°", r.Partner, r.PartnerEl.Deg())
	}
	tuned := map[int][2]float64{}
	for i := range radio.Conventions() {
		b.after(0, ConventionTo{Index: i})
		r = b.out.Status.Radio
		tuned[i] = [2]float64{r.ListenHz - r.AgreedHz, r.SendHz - r.AgreedHz}
	}
	if tuned[2] != [2]float64{} || tuned[3][1] != 0 || math.Abs(tuned[3][0]-r.Mutual.DopplerHz) > 0.01 {
		t.Errorf("tunings %v, mutual Doppler %v", tuned, r.Mutual.DopplerHz)
	}
	if math.Abs(tuned[1][0]-tuned[3][0]) > 1e-6 || math.Abs(tuned[1][1]+tuned[1][0]) > 5 {
		t.Errorf("we correct all: %v", tuned[1])
	}
	b.after(0, PartnersTo{CSV: "name,locator,polarisation,note\nHere,IO85ma,circular,\n"})
	if !b.said("radio.partners") || len(b.s.Radio.Partners) != 2 {
		t.Error("a partner at the station's own place was taken")
	}
}

// Without a partner the tuning is for the own echo: it is heard its Doppler away from where it was sent.
func TestOwnEchoIsListenedForWhereItLands(t *testing.T) {
	b := radioBench(t)
	for i, words := range radio.Conventions() {
		b.after(0, ConventionTo{Index: i})
		r := b.out.Status.Radio
		if off := r.ListenHz - r.SendHz - r.Own.DopplerHz; math.Abs(off) > 5 {
			t.Errorf("%s: listens %.0f Hz beside the echo", words, off)
		}
	}
}

// The own echo's terms come to what arrives, and a partner who is like us has what we have, but for the path.
func TestBudgetOfTheEcho(t *testing.T) {
	b := radioBench(t)
	b.after(0, PartnerTo{Name: "Quarry Ridge"})
	r := b.out.Status.Radio
	own := r.Budget
	if !own.Has {
		t.Fatalf("no budget: %+v", own)
	}
	sum := 10*math.Log10(1000*own.PowerW) + own.TransmitDBI + own.ReceiveDBI - own.PathDB - own.AirDB - own.FillingDB
	if math.Abs(sum-own.EchoDBM) > 1e-9 || own.In(1) != own.DensityDBHz {
		t.Errorf("terms come to %.2f dBm: %+v", sum, own)
	}
	// 5.6 m, 400 W at 1296 MHz: about 19 dB in 50 Hz at the mean distance with 55 K (computed).
	if db := own.In(50) + 10*math.Log10(own.SystemK/55); db < 17.5 || db > 20.5 {
		t.Errorf("%.1f dB in 50 Hz", db)
	}
	alike := *r
	alike.PartnerEl = r.MoonEl
	here, there := alike.WithPartner(Counterpart{PowerW: own.PowerW, DishM: b.c.Settings.Dish.DiameterM,
		SystemK: own.SystemK})
	for _, mutual := range []EchoBudget{here, there} {
		if off := mutual.DensityDBHz - own.DensityDBHz + r.Mutual.LossDB - r.Own.LossDB; math.Abs(off) > 0.1 {
			t.Errorf("a partner like us is %.2f dB off", off)
		}
	}
	// Their noise counts where they receive, and nowhere else.
	deaf := Counterpart{PowerW: own.PowerW, DishM: b.c.Settings.Dish.DiameterM, SystemK: 4 * own.SystemK}
	heard, hears := alike.WithPartner(deaf)
	if lost := there.DensityDBHz - hears.DensityDBHz; math.Abs(lost-6.02) > 0.01 ||
		heard.DensityDBHz != here.DensityDBHz {
		t.Errorf("four times their noise costs them %.2f dB, us %.2f", lost, here.DensityDBHz-heard.DensityDBHz)
	}
	if _, hears = alike.WithPartner(Counterpart{PowerW: 100, DishM: 5}); hears.Has {
		t.Error("a partner whose noise isn't known has a budget of what they hear")
	}
	if here, _ := alike.WithPartner(Counterpart{}); here.Has {
		t.Error("a partner without a dish has a budget")
	}
}

func TestNoiseAddsUp(t *testing.T) {
	b := radioBench(t)
	b.after(0)
	r := b.out.Status.Radio
	n := r.Noise
	if sum := n.SkyK + n.MoonK + n.SunK + n.AirK + n.GroundK + n.ReceiverK; math.Abs(sum-n.SystemK) > 1e-6 {
		t.Errorf("parts come to %.2f K, the system to %.2f K", sum, n.SystemK)
	}
	if r.AboveBestPathDB < 0 || r.AboveBestSkyDB < 0 {
		t.Errorf("better than the best: path %.2f, sky %.2f dB", r.AboveBestPathDB, r.AboveBestSkyDB)
	}
	p := r.Pass
	if p == nil || p.Rise.After(began) || p.Set.Before(began) || p.Points[len(p.Points)-1].At != p.Set {
		t.Fatalf("pass %+v", p)
	}
}

func TestPeriodAt(t *testing.T) {
	hour := time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	rows := []struct {
		name   string
		length time.Duration
		first  bool
		after  time.Duration
		ours   bool
		left   time.Duration
	}{
		{"the hour begins with the first turn", time.Minute, true, 0, true, time.Minute},
		{"theirs first", time.Minute, false, 0, false, time.Minute},
		{"the second turn", time.Minute, true, 61 * time.Second, false, 59 * time.Second},
		{"150 s: pairs of 300 s fill the hour", 150 * time.Second, true, 3600 * time.Second, true, 150 * time.Second},
		{"5 s", 5 * time.Second, true, 12 * time.Second, true, 3 * time.Second},
		{"6 s", 6 * time.Second, true, 20 * time.Second, false, 4 * time.Second},
		{"10 s", 10 * time.Second, false, 15 * time.Second, true, 5 * time.Second},
		{"300 s", 300 * time.Second, true, 3301 * time.Second, false, 299 * time.Second},
		{"15 s", 15 * time.Second, true, 44 * time.Second, true, time.Second},
	}
	for _, row := range rows {
		p := radio.PeriodAt(row.length, row.first, hour.Add(row.after))
		if p.Ours != row.ours || p.Left != row.left {
			t.Errorf("%s: ours %v, left %v", row.name, p.Ours, p.Left)
		}
	}
	b := radioBench(t)
	b.after(0, PeriodsTo{Seconds: 1, OursFirst: true})
	if !b.said("radio.period") || b.out.Status.Period.Length != time.Minute {
		t.Error("a turn of 1 s was taken")
	}
	b.after(
		0,
		ModeTo{Index: 2},
		ModeTo{Index: 99},
		PeriodsTo{Seconds: 7, OursFirst: true},
	)
	if p := b.out.Status.Period; p.Mode != 2 || p.Length != 7*time.Second || !p.OursFirst {
		t.Errorf("%+v", p)
	}
	b.after(0, PeriodsTo{})
	if b.out.Status.Period.On {
		t.Error("the turns did not end")
	}
}

// The month is worked out a day at a step, and the passes come out as the ridge shows them.
func TestMonth(t *testing.T) {
	b := radioBench(t)
	b.after(0, PartnerTo{Name: "Quarry Ridge"})
	for range 40 {
		b.after(100 * time.Millisecond)
	}
	p := b.out.Status.Plan
	if p == nil || p.Days != 30 || len(p.Points) != 30*PlanPointsADay || len(p.Next) == 0 {
		t.Fatalf("plan %v days, %d points, %d next", p.Days, len(p.Points), len(p.Next))
	}
	for i, q := range p.Points {
		at := p.Month.Add(time.Duration(i) * (24 * time.Hour / PlanPointsADay))
		inside := false
		near := false
		for _, pass := range p.Passes {
			inside = inside || at.After(pass.Rise) && at.Before(pass.Set)
			// The ridge takes the horizon at whole degrees.
			near = near || at.Sub(pass.Rise).Abs() < 10*time.Minute || at.Sub(pass.Set).Abs() < 10*time.Minute
		}
		if q.Up != inside && !near {
			t.Errorf("%v: up is %v, in a pass is %v", at, q.Up, inside)
		}
		if q.Shared && !q.Up || q.Merit > 0 && q.El < 0 {
			t.Errorf("%v: %+v", at, q)
		}
	}
	b.after(100*time.Millisecond, LookAt{At: began.Add(time.Hour)})
	if then := b.out.Status.Then; then == nil || !then.At.Equal(began.Add(time.Hour)) {
		t.Errorf("then %+v", then)
	}
}

func TestArmedPass(t *testing.T) {
	b := radioBench(t)
	b.at = time.Date(2027, 4, 15, 11, 0, 0, 0, time.UTC)
	b.after(0, Arm{On: true})
	a := b.out.Status.Armed
	if !a.Has || a.UnderWay || !a.Rise.After(b.at) || !a.Leaves.Before(a.Rise) {
		t.Fatalf("armed %+v", a)
	}
	b.at = a.Leaves
	b.after(time.Second)
	if b.out.Status.Starting.Code == "" || b.kinds() != "" {
		t.Fatalf("announced %q, asked %q", b.out.Status.Starting, b.kinds())
	}
	b.after(announceArmed)
	b.after(100 * time.Millisecond)
	// The Moon stands above the least elevation, though still behind the surveyed
	// horizon: the dish follows it, the motion warning first.
	if !b.out.Status.Armed.UnderWay || b.kinds() != "follow" || b.asked[0].(step.Follow).Asked {
		t.Fatalf("asked %q by a press %v", b.kinds(), b.asked)
	}
	b.at = a.Rise
	b.after(10 * time.Minute)
	b.after(time.Minute)
	if b.out.Status.Activity != Tracking {
		t.Fatalf("activity %d after the rise", b.out.Status.Activity)
	}
	b.at = a.Set
	b.after(time.Second)
	if b.out.Status.Activity != Parking || b.out.Status.Armed.Has {
		t.Errorf("activity %d after the set", b.out.Status.Activity)
	}
}

// A pass that has begun is announced as any other is: the dish does not leave what it follows at once.
func TestArmedPassThatHasBegunIsAnnounced(t *testing.T) {
	b := radioBench(t)
	b.at = time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC) // the Moon is up
	b.after(0, Choose{Body: BodyChoice{Kind: Sun}})
	b.after(time.Second, Arm{On: true})
	if a := b.out.Status.Armed; !a.Rise.Before(b.at) || a.Target != "the Moon" {
		t.Fatalf("armed %+v", a)
	}
	b.after(announceArmed - 2*time.Second)
	if b.out.Status.Armed.UnderWay || b.out.Status.Target.Choice.Kind != Sun ||
		b.out.Status.Starting.Code != "armed.starts" {
		t.Fatalf("under way %v, target %q, announced %q", b.out.Status.Armed.UnderWay, b.out.Status.Target.Name,
			b.out.Status.Starting)
	}
	b.after(3 * time.Second)
	if !b.out.Status.Armed.UnderWay || b.out.Status.Target.Choice.Kind != Moon {
		t.Errorf("under way %v, target %q", b.out.Status.Armed.UnderWay, b.out.Status.Target.Name)
	}
}

func TestArmedPassEnds(t *testing.T) {
	for name, o := range map[string]Order{"stop": Stop{}, "given up": Arm{}} {
		b := radioBench(t)
		b.at = time.Date(2027, 4, 15, 11, 0, 0, 0, time.UTC)
		b.after(0, Arm{On: true})
		b.after(time.Second, o)
		if b.out.Status.Armed.Has {
			t.Errorf("%s: still armed", name)
		}
	}
}

// After a restart an armed pass is a question, and nothing moves by itself.
func TestArmedIsAQuestionAfterARestart(t *testing.T) {
	b := radioBench(t)
	b.at = time.Date(2027, 4, 15, 11, 0, 0, 0, time.UTC)
	b.after(0, Arm{On: true})
	kept := b.s.keptRadio()
	again := radioBench(t)
	again.s.takeRadio(&again.c, kept)
	again.at = kept.Armed.Rise
	again.after(time.Minute)
	if a := again.out.Status.Armed; !a.Has || !a.Question || again.kinds() != "" {
		t.Fatalf("armed %+v, asked %q", a, again.kinds())
	}
	again.after(time.Second, Arm{On: true})
	if again.out.Status.Armed.Question {
		t.Error("the answer was not heard")
	}
}

// The plan is the Moon's whatever the dish follows, or that of what was chosen for it; what is armed is the plan's.
func TestPlanHasATargetOfItsOwn(t *testing.T) {
	b := radioBench(t)
	b.at = time.Date(2027, 4, 15, 11, 0, 0, 0, time.UTC)
	b.after(0, Choose{Body: BodyChoice{Kind: Sun}})
	b.after(100 * time.Millisecond)
	if p := b.out.Status.Plan; p.Of.Kind != Moon || p.Target != "Moon" {
		t.Fatalf("with the Sun as target the plan is of %+v", p.Of)
	}
	b.after(time.Second, Arm{On: true})
	if a := b.out.Status.Armed; a.Target != "the Moon" {
		t.Errorf("armed %q by the Moon's plan", a.Target)
	}
	b.after(time.Second, PlanOf{Body: BodyChoice{Kind: Source, Name: "Cas A"}})
	b.after(100 * time.Millisecond)
	if p := b.out.Status.Plan; p.Of.Name != "Cas A" || b.out.Status.Target.Choice.Kind != Sun {
		t.Fatalf("plan of %+v, target %+v", p.Of, b.out.Status.Target.Choice)
	}
	b.after(time.Second, Arm{}, Arm{On: true})
	if a := b.out.Status.Armed; a.Target != "Cas A" {
		t.Errorf("armed %q by the plan of Cas A", a.Target)
	}
	// What has no passes is refused, and the plan stays.
	b.after(time.Second, PlanOf{Body: BodyChoice{Kind: Fixed, Az: unit.AngleFromDeg(10)}})
	if !b.said("radio.plan") {
		t.Error("nothing is said of a target without passes")
	}
	b.after(100 * time.Millisecond)
	if b.out.Status.Plan.Of.Name != "Cas A" {
		t.Errorf("plan of %+v", b.out.Status.Plan.Of)
	}
	// The moment that is looked at is marked where the plan's target is then.
	b.after(time.Second, LookAt{At: b.at.Add(8 * time.Hour)})
	bodies := b.out.Status.Bodies
	if then := bodies[len(bodies)-1]; !strings.HasPrefix(then.Name, "Cas A, ") {
		t.Errorf("marked %q", then.Name)
	}
}

// Each point of the Moon's month says where it is, and what path and noise cost it.
func TestPlanPoints(t *testing.T) {
	b := radioBench(t)
	for range 40 {
		b.after(100 * time.Millisecond)
	}
	moon := b.c.Moon()
	for i, q := range b.out.Status.Plan.Points {
		if i%96 != 0 {
			continue
		}
		at := b.out.Status.Plan.Month.Add(time.Duration(i) * 15 * time.Minute)
		d, _, _ := b.c.Place(moon, at)
		if math.Abs((d.Az-q.Az).Deg()) > 1e-9 || math.Abs((d.El-q.El).Deg()) > 1e-9 {
			t.Errorf("%v: %.3f, %.3f, should be %.3f, %.3f", at, q.Az.Deg(), q.El.Deg(), d.Az.Deg(), d.El.Deg())
		}
		known := !math.IsNaN(float64(q.PathDB + q.NoiseDB))
		if q.Merit > 0 && !known || q.El < b.c.Min() && known {
			t.Errorf("%v, elevation %.1f: merit %v, path %v, noise %v dB", at, q.El.Deg(), q.Merit, q.PathDB, q.NoiseDB)
		}
		if known && (q.PathDB < -0.01 || q.PathDB > 2.5) {
			t.Errorf("%v: the path costs %v dB more than at perigee", at, q.PathDB)
		}
	}
}
