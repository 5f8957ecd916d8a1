package desk

import (
	"slices"
	"strings"
	"testing"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// onTheMoon is a bench that follows the Moon and is on it.
func onTheMoon(t *testing.T) *bench {
	t.Helper()
	b := newBench(t)
	b.after(0, Track{On: true})
	b.after(100 * time.Millisecond)
	b.onTarget()
	b.after(2 * time.Second)
	b.onTarget()
	b.after(100 * time.Millisecond)
	return b
}

var toTheSun = Choose{Body: BodyChoice{Kind: Sun, Name: "Sun"}}

// follows reports whether the Moon is still followed.
func (b *bench) follows() bool {
	return b.s.Choice.Kind == Moon && b.s.Aim == trackAim && b.out.Status.Target.Name == "Moon"
}

// A target chosen while another is followed moves nothing before it is chosen again or confirmed.
func TestAnotherTargetIsConfirmed(t *testing.T) {
	for name, confirm := range map[string]Order{"chosen again": toTheSun, "confirmed": Confirm{}} {
		b := onTheMoon(t)
		b.after(100*time.Millisecond, toTheSun)
		p := b.out.Status.Proposal
		if !b.follows() || b.kinds() != "" || !p.Pending || p.To != "the Sun" || p.Distance.Deg() < 5 ||
			p.Lasts < 5*time.Second || !b.said("desk.proposed") {
			t.Fatalf("%s: commands %q, proposal %+v, said %v", name, b.kinds(), p, b.out.Events)
		}
		b.after(3*time.Second, confirm)
		if b.s.Choice.Kind != Sun || b.s.Aim != trackAim || b.out.Status.Proposal.Pending {
			t.Errorf("%s: choice %v, aim %v, proposal %+v", name, b.s.Choice, b.s.Aim, b.out.Status.Proposal)
		}
	}
}

// A double click, or a key that repeats, confirms nothing: what is asked again before it can have been read stays
// proposed.
func TestADoubleClickConfirmsNothing(t *testing.T) {
	b := onTheMoon(t)
	b.after(100*time.Millisecond, toTheSun, toTheSun)
	for range 3 {
		b.after(100*time.Millisecond, toTheSun)
		if !b.follows() || b.kinds() != "" || !b.out.Status.Proposal.Pending {
			t.Fatalf("choice %v, commands %q, proposal %+v", b.s.Choice, b.kinds(), b.out.Status.Proposal)
		}
	}
	b.after(100*time.Millisecond, toTheSun)
	if b.s.Choice.Kind != Sun || b.s.Aim != trackAim {
		t.Errorf("asked again after %v: choice %v, aim %v", againAfter, b.s.Choice, b.s.Aim)
	}
}

// Cancel, Stop, another order that moves the dish, and time drop what was proposed.
func TestAProposalIsDropped(t *testing.T) {
	for name, drop := range map[string]func(b *bench){
		"cancel": func(b *bench) { b.after(time.Second, CancelWarning{}) },
		"Stop":   func(b *bench) { b.after(time.Second, Stop{}) },
		"Hold":   func(b *bench) { b.after(time.Second, Hold{}) },
		"lock":   func(b *bench) { b.loop.Mode = step.LockedOut; b.after(time.Second) },
		"time":   func(b *bench) { b.after(proposalLives + 100*time.Millisecond) },
		"another": func(b *bench) {
			b.after(time.Second,
				Choose{Body: BodyChoice{Kind: Moon, Name: "Moon"}})
		},
	} {
		b := onTheMoon(t)
		b.after(100*time.Millisecond, toTheSun)
		drop(b)
		if b.out.Status.Proposal.Pending {
			t.Errorf("%s: it stands", name)
		}
		b.after(100*time.Millisecond, Confirm{})
		if b.s.Choice.Kind != Moon || strings.Contains(b.kinds(), "slew") || strings.Contains(b.kinds(), "follow") {
			t.Errorf("%s: confirmed all the same: %v, %q", name, b.s.Choice, b.kinds())
		}
	}
}

// A source that is not up doesn't take the dish off the Moon, however often it is chosen.
func TestATargetThatIsDownTakesNothingAway(t *testing.T) {
	b := onTheMoon(t)
	var down Choose
	for _, source := range b.c.Sources {
		choice := BodyChoice{Kind: Source, Name: source.Name}
		if d, _, ok := b.c.Place(b.c.Target(choice), b.at); ok && d.El < 0 {
			down = Choose{Body: choice}
		}
	}
	if down == (Choose{}) {
		t.Fatal("every source is up")
	}
	for range 3 {
		b.after(time.Second, down)
		if !b.follows() || b.out.Status.Proposal.Pending || !b.said("desk.down-while-following") {
			t.Fatalf("choice %v, said %v", b.s.Choice, b.out.Events)
		}
	}
	b.after(time.Second, Hold{})
	b.after(time.Second, down)
	if b.s.Choice.BodyChoice != down.Body || b.kinds() != "" {
		t.Errorf("while holding it is only chosen: %v, %q", b.s.Choice, b.kinds())
	}
}

// Small changes are done at once, large ones of the same kind are proposed.
func TestLargeTrimsAreConfirmed(t *testing.T) {
	b := onTheMoon(t)
	half := b.c.Beamwidth(b.s.Band, b.s.Feed)
	b.after(100*time.Millisecond, TrimTo{Trim: mount.Offset{El: half}})
	if b.out.Status.Proposal.Pending || b.out.Status.Trim.El != half {
		t.Fatalf("a beamwidth of trim was proposed: %+v", b.out.Status.Proposal)
	}
	b.after(100*time.Millisecond, TrimTo{Trim: mount.Offset{El: half.Mul(-3)}})
	if !b.out.Status.Proposal.Pending || b.out.Status.Trim.El != half {
		t.Fatal("four beamwidths of trim moved the dish at once")
	}
	b.after(100*time.Millisecond, Confirm{})
	if b.out.Status.Trim.El != half.Mul(-3) {
		t.Error("not confirmed")
	}
}

// A slew tells how long each axis still takes, also one that no place was chosen for; a cancelled wind stow is told.
func TestSlewTellsWhatIsLeft(t *testing.T) {
	b := newBench(t)
	b.after(0, SlewTo{To: mount.AxisAngles{Az: degrees(240), El: degrees(50)}})
	b.after(time.Second, Hold{})
	b.after(time.Second, Nudge{By: mount.Offset{El: degrees(0.5)}})
	b.loop.Mode, b.loop.Axes[1].ArrivesInSeconds = step.Slewing, 1.5
	b.loop.StowCancelled = true
	b.after(100 * time.Millisecond)
	st := b.out.Status
	if st.Axes[0].ArrivesIn != 0 || st.Axes[1].ArrivesIn != 1500*time.Millisecond || st.Legs != 0 || !st.StowCancelled {
		t.Errorf("%v and %v left, %d legs, stow cancelled %v", st.Axes[0].ArrivesIn, st.Axes[1].ArrivesIn, st.Legs,
			st.StowCancelled)
	}
}

// On its way to the target it acquires, with the time to go; it tracks when it is there.
func TestAcquiringUntilItIsThere(t *testing.T) {
	b := newBench(t)
	b.after(0, Track{On: true})
	b.after(100 * time.Millisecond)
	b.after(time.Second)
	if st := b.out.Status; st.Activity != Tracking || !st.Acquiring || st.ArrivesIn < 5*time.Second ||
		st.ArrivesIn > 20*time.Second {
		t.Fatalf("10 degrees off: acquiring %v, there in %v", st.Acquiring, st.ArrivesIn)
	}
	b.onTarget()
	b.after(100 * time.Millisecond)
	if b.out.Status.Acquiring {
		t.Error("on the target it acquires")
	}
	b.loop.Axes[1].Position += b.c.Beamwidth(b.s.Band, b.s.Feed).Mul(0.4)
	b.after(100 * time.Millisecond)
	if b.out.Status.Acquiring {
		t.Error("a gust within half a beam is no loss of the target")
	}
	b.loop.Axes[1].Position += degrees(12)
	b.after(100 * time.Millisecond)
	if !b.out.Status.Acquiring {
		t.Error("12 degrees off it tracks")
	}
}

// It is back on the target when it is there and stopped, not when it sets off.
func TestBackWhenItIsThere(t *testing.T) {
	b := onTheMoon(t)
	b.after(100*time.Millisecond, OffSource{On: true})
	b.after(2*time.Second, TakeColdSky{})
	if !b.said("coldsky.refused") || !b.said("desk.on-its-way") {
		t.Errorf("cold sky on the way: %v", b.out.Events)
	}
	b.loop.Moving = true
	b.loop.Axes[0].Position += degrees(9)
	b.after(time.Second, OffSource{})
	if b.said("offsource.on") || !b.said("offsource.back") {
		t.Errorf("said %v", b.out.Events)
	}
	b.onTarget()
	b.after(time.Second)
	if b.said("offsource.on") {
		t.Error("back while it moves")
	}
	b.loop.Moving = false
	b.onTarget()
	b.after(time.Second)
	if !b.said("offsource.on") {
		t.Errorf("there and stopped: %v", b.out.Events)
	}
}

// A supply that the sequencer takes away to transmit is not judged then, nor just after.
func TestThePreamplifierSupplyIsNotJudgedWhileTransmitting(t *testing.T) {
	b := newBench(t)
	alarms := func() (n int) {
		for _, a := range b.out.Status.Alarms {
			if a.Next.Code == "next.preamplifier-supply" {
				n++
			}
		}
		return n
	}
	run := func(d time.Duration) {
		for range int(d / (100 * time.Millisecond)) {
			b.after(100 * time.Millisecond)
			if alarms() > 0 {
				return
			}
		}
	}
	b.read(enclosure.Sequencer, enclosure.SequencerReceive)
	b.read(enclosure.PreamplifierSupply, 12)
	run(6 * time.Second)
	for range 3 {
		b.loop.Permit.Keyed = true
		run(500 * time.Millisecond) // the reading is half a second behind
		b.read(enclosure.PreamplifierSupply, 0)
		b.read(enclosure.Sequencer, 2)
		run(30 * time.Second)
		b.loop.Permit.Keyed = false
		run(500 * time.Millisecond)
		b.read(enclosure.PreamplifierSupply, 12)
		b.read(enclosure.Sequencer, enclosure.SequencerReceive)
		run(10 * time.Second)
		if alarms() > 0 {
			t.Fatalf("alarms %+v", b.out.Status.Alarms)
		}
	}
	b.read(enclosure.PreamplifierSupply, 0)
	run(10 * time.Second)
	if alarms() == 0 {
		t.Error("lost while receiving it gives no alarm")
	}
}

// Long after the operator began a survey no press stands behind drive power: it is
// announced, and passes as announced, not as asked.
func TestPowerOfASurveyIsAnnounced(t *testing.T) {
	b := newBench(t)
	b.after(0, SurveyTo{On: true, Targets: "Moon", Hours: 2})
	b.after(100 * time.Millisecond)
	b.loop.Power, b.loop.Mode = step.PowerOff, step.Idle
	b.s.Measuring.Rounds.Phase, b.s.Measuring.Rounds.Rests = 0, b.at
	b.s.seek(noAim, b.now)
	powered := func() []step.Power {
		return slices.DeleteFunc(sent[step.Power](b), func(m step.Power) bool { return !m.On })
	}
	b.after(time.Minute)
	if len(powered()) > 0 || !b.said("survey.power") || b.out.Status.StartingIn <= 0 {
		t.Fatalf("commands %+v, said %v", powered(), b.out.Events)
	}
	b.after(3 * time.Second)
	if len(powered()) > 0 {
		t.Fatal("it came on before it was announced for long enough")
	}
	b.after(3 * time.Second)
	if p := powered(); len(p) != 1 || p[0].Asked || !p[0].Announced {
		t.Fatalf("commands %+v", p)
	}
}
