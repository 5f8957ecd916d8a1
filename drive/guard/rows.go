package guard

import (
	"math"
	"time"
)

//beamhelm:table

// rows is every guard, causes before what they explain.
var rows = [...]Row{
	{
		Code: WrongMap, Name: "wrong map",
		Words:   "Register map or axes differ from the settings",
		Next:    "Check the settings and the enclosure's firmware.",
		Refuses: true, Response: TripPower,
		Test: func(_ *Config, f *Facts, _ *State, _ int) bool { return f.WrongMap },
	},
	{
		Code: LinkLost, Name: "link lost",
		Words: "No reply from the enclosure",
		Next: "Check the line, its adapter and the enclosure's supply. Motion goes on when replies return and the " +
			"enclosure has not tripped.",
		Refuses: true, Response: Pause, EndsPermit: true, Behind: []Code{WrongMap},
		Test: linkLost,
	},
	{
		Code: LinkSilent, Name: "link silent",
		Words: "No reply from the enclosure for too long: drive power and permit ordered off, unconfirmed",
		Next: "Check the line from the enclosure to the panel. When replies are back, Release; command every " +
			"motion again.",
		Response: TripPower, Behind: []Code{WrongMap},
		Test: linkSilent,
	},
	{
		Code: LateLoop, Name: "late loop",
		Words: "Control loop late: CPU overloaded", Next: "Close programs that load the computer.",
		Response: Warn,
		Test:     lateLoop,
	},
	{
		Code: WindowSilent, Name: "window silent",
		Words:    "Window not responding: the motion has been stopped",
		Next:     "Wait for the window or start the panel again. Tracking within tolerance goes on.",
		Response: Rest,
		Test: func(c *Config, f *Facts, _ *State, _ int) bool {
			return (f.Slewing || f.Jogging || f.Acquiring) && windowSilent(c, f)
		},
	},
	{
		Code: ReadingsStale, Name: "readings stale",
		Words: "Readings stale: supplies, temperatures, wind and transmitter not monitored",
		Next: "Watch them yourself. Check the line's speed and the adapter: the replies come too late for both " +
			"motion and readings.",
		Response: Withdraw, Hold: 3 * time.Second, Behind: []Code{LinkLost},
		Test: func(_ *Config, f *Facts, _ *State, _ int) bool { return f.Connected && f.ReadingsAge > readingsLast },
	},
	{
		Code: CourseRunOut, Name: "course run out",
		Words:    "Tracking course ran out",
		Next:     "Press Track again. If it returns, look for what stalls the computer.",
		Response: Rest,
		Test:     func(_ *Config, f *Facts, _ *State, _ int) bool { return f.Following && f.CourseOver },
	},
	{
		Code: Restarted, Name: "enclosure restarted",
		Words:    "Enclosure restarted: drive power is off, positions may be lost",
		Next:     "Find out why it started. Release, switch drive power on and check the positions.",
		Response: TripPower, Always: true,
		Test: func(_ *Config, f *Facts, _ *State, _ int) bool { return f.Restarted },
	},
	{
		Code: WatchdogTripped, Name: "watchdog tripped",
		Words:    "Enclosure heard nothing from the panel and stopped the drives",
		Next:     "Check line and computer, then Release.",
		Response: TripPower, Behind: []Code{Restarted},
		Test: func(_ *Config, f *Facts, _ *State, _ int) bool { return f.Ours && f.WatchdogTrip },
	},
	{
		Code: EnclosureClock, Name: "enclosure clock wrong",
		Words:   "Enclosure clock stopped or wrong: its report of the motion is unreliable",
		Next:    "Its program may hang. Start the enclosure again; where it returns, look for the fault there.",
		Refuses: true, Response: TripPower, Behind: []Code{Restarted},
		Test: func(_ *Config, f *Facts, s *State, _ int) bool { return f.Now < s.Clock.Until },
	},
	{
		Code: StopCircuit, Name: "stop circuit",
		Words: "Stop circuit open", Next: "Find who opened it and why. Close it at the dish, then Release.",
		Refuses: true, Response: TripPower,
		Test: func(_ *Config, f *Facts, _ *State, _ int) bool { return f.StopOpen },
	},
	{
		Code: StopCircuitOpened, Name: "stop circuit opened",
		Words:    "Stop circuit was opened",
		Next:     "It is closed again. Find who opened it and why, or whether a contact is loose, then Release.",
		Response: TripPower, Behind: []Code{Restarted, StopCircuit},
		Test: func(_ *Config, f *Facts, _ *State, _ int) bool { return f.Ours && f.StopTrip },
	},
	{
		Code: HandPanel, Name: "hand panel",
		Words:   "Hand panel has control",
		Next:    "Someone is at the dish. When the hand panel is off again, switch drive power on.",
		Refuses: true, Response: Rest, EndsPermit: true,
		Test: func(_ *Config, f *Facts, _ *State, _ int) bool { return f.HandPanel },
	},
	{
		Code: HandPanelTaken, Name: "hand panel taken",
		Words:    "Hand panel had control for a moment",
		Next:     "Find who was at the dish, or whether its switch is loose, then Release.",
		Response: TripPower, Behind: []Code{Restarted, StopCircuit, StopCircuitOpened, HandPanel},
		Test: func(_ *Config, f *Facts, _ *State, _ int) bool { return f.Ours && f.HandTrip },
	},
	{
		Code: DriveFault, Name: "drive fault", PerAxis: true,
		Words:    "Drive fault",
		Next:     "Read the drive's own display at the dish. When the fault is gone, Release.",
		Response: TripPower,
		Test:     func(_ *Config, f *Facts, _ *State, axis int) bool { return f.Axes[axis].DriveFault },
	},
	{
		Code: BothEnds, Name: "both ends open", PerAxis: true,
		Words:   "Both end switches open (broken wire)",
		Next:    "Check the end switches' cable, then Release.",
		Refuses: true, Response: TripPower,
		Test: func(_ *Config, f *Facts, _ *State, axis int) bool { return f.Axes[axis].EndLow && f.Axes[axis].EndHigh },
	},
	{
		Code: EndSwitch, Name: "end switch", PerAxis: true,
		Words:    "At the end switch",
		Next:     "Jog it back. Where the soft limit should have held it, reference the axis.",
		Response: Block,
		Test: func(_ *Config, f *Facts, _ *State, axis int) bool {
			return f.Axes[axis].EndLow != f.Axes[axis].EndHigh
		},
	},
	{
		Code: EndElsewhere, Name: "end switch out of place", PerAxis: true, Distrusts: true,
		Words:    "Position and end switches disagree",
		Next:     "Look where the dish really points. Check the switch and its cable, then reference the axis.",
		Response: Rest, Behind: []Code{BothEnds},
		Test: endElsewhere,
	},
	{
		Code: Stalled, Name: "stalled", PerAxis: true,
		Words:    "Stalled, high current, no movement",
		Next:     "Look at the dish before anything else. Remove what holds it, then Release.",
		Response: TripPower, Behind: []Code{HandPanel, EndSwitch, BothEnds},
		Test: stalled,
	},
	{
		Code: MotorSilent, Name: "motor draws no current", PerAxis: true,
		Words:    "No motor current, no movement",
		Next:     "Check the motor's fuse, cable and brushes, then Release.",
		Response: TripPower, Behind: []Code{HandPanel, EndSwitch, BothEnds, Stalled},
		Test: motorSilent,
	},
	{
		Code: EncoderFault, Name: "encoder fault", PerAxis: true, Distrusts: true,
		Words:    "Encoder fault, position unreliable",
		Next:     "Check the encoder, its coupling and cable. Release, then reference the axis.",
		Response: TripPower, Behind: []Code{Stalled, MotorSilent},
		Test: func(_ *Config, f *Facts, _ *State, axis int) bool { return f.Ours && f.Axes[axis].EncoderFault },
	},
	{
		Code: PowerDidNotComeOn, Name: "power did not come on",
		Words:    "Drive power did not come on",
		Next:     "Check the drive supply, its contactor and fuses, then Release.",
		Response: TripPower, Behind: []Code{WatchdogTripped, Restarted, StopCircuit, StopCircuitOpened, HandPanel,
			HandPanelTaken, DriveFault, EncoderFault, LinkLost},
		Test: func(c *Config, f *Facts, _ *State, _ int) bool {
			return f.Ours && !f.PowerConfirmed && (f.PowerTrip || f.Asked > c.Limits.PowerComesOn)
		},
	},
	{
		Code: PowerLost, Name: "power lost",
		Words:    "Drive power went off unexpectedly",
		Next:     "Check the drive supply, its contactor and fuses, then Release.",
		Response: TripPower, Behind: []Code{WatchdogTripped, Restarted, StopCircuit, StopCircuitOpened, HandPanel,
			HandPanelTaken, DriveFault, EncoderFault, Stalled, MotorSilent, PowerDidNotComeOn, LinkLost},
		Test: func(_ *Config, f *Facts, _ *State, _ int) bool {
			return f.Ours && f.PowerConfirmed && (!f.Powered || f.PowerTrip)
		},
	},
	{
		Code: ImpossibleTransitions, Name: "impossible transitions", PerAxis: true, Distrusts: true,
		Words:    "Encoder errors (impossible transitions)",
		Next:     "Counts may be lost. Check the encoder's cable and screen, then reference the axis.",
		Response: Warn,
		Test:     func(_ *Config, _ *Facts, s *State, axis int) bool { return s.Axes[axis].Slips > 2.5 },
	},
	{
		Code: SoftLimit, Name: "soft limit", PerAxis: true,
		Words:    "Soft limit, motion ends here",
		Next:     "Choose a place or a target within the limits; the other way round the cable wrap may help.",
		Response: Rest,
		Test:     softLimit,
	},
	{
		Code: Structure, Name: "structure",
		Words:    "Structure in the way at this elevation",
		Next:     "Raise the elevation, or choose a target above the structure.",
		Response: Rest,
		Test:     func(_ *Config, f *Facts, _ *State, _ int) bool { return f.Active && f.Structure },
	},
	{
		Code: TooFast, Name: "too fast", PerAxis: true, Distrusts: true,
		Words:    "Count rate above the top speed of the axis",
		Next:     "Check the encoder and its settings. Release, then reference the axis.",
		Response: TripPower, Always: true, Behind: []Code{EncoderFault},
		Test: func(c *Config, _ *Facts, s *State, axis int) bool { return s.Axes[axis].fast(&c.Axes[axis]) },
	},
	{
		Code: MovingAfterStop, Name: "moving after stop", PerAxis: true, Distrusts: true,
		Words:    "Moving although stopped or unpowered",
		Next:     "Open the hard-wired stop. Keep clear of the dish.",
		Response: TripPower, Always: true, Refuses: true, Behind: []Code{HandPanel, EncoderFault, TooFast},
		Test: func(c *Config, f *Facts, s *State, axis int) bool {
			return (f.Stopped || !f.Powered) && s.Axes[axis].uncommanded(&c.Axes[axis])
		},
	},
	{
		Code: WrongWay, Name: "wrong way", PerAxis: true, Distrusts: true,
		Words:    "Moving in the wrong direction",
		Next:     "Check the direction settings of drive and encoder and the motor's wiring, then Release.",
		Response: TripPower, Behind: []Code{HandPanel, EncoderFault, TooFast, MovingAfterStop},
		Test: func(c *Config, f *Facts, s *State, axis int) bool {
			return f.Powered && s.Axes[axis].wrong(&c.Axes[axis])
		},
	},
	{
		Code: EncoderSilent, Name: "driven but not moving", PerAxis: true, Distrusts: true,
		Words: "No counts while driven (encoder or coupling)",
		Next: "Check whether the dish itself moved. Check encoder, coupling and gear, then Release and reference " +
			"the axis.",
		Response: TripPower, Behind: []Code{HandPanel, EndSwitch, BothEnds, WrongWay, Stalled, MotorSilent},
		Test: func(c *Config, f *Facts, s *State, axis int) bool {
			return f.Powered && s.Axes[axis].stuck(&c.Axes[axis])
		},
	},
	{
		Code: MovingNotDriven, Name: "moving but not driven", PerAxis: true, Distrusts: true,
		Words:    "Moving without being driven",
		Next:     "Check brake, worm and couplings, and the wind. Release when it has stopped.",
		Response: TripPower, Behind: []Code{HandPanel, EncoderFault, TooFast, MovingAfterStop, WrongWay, Stalled,
			MotorSilent, EncoderSilent},
		Test: func(c *Config, f *Facts, s *State, axis int) bool {
			t := &s.Axes[axis]
			return f.Powered && !f.Stopped && (t.uncommanded(&c.Axes[axis]) || t.carried(&c.Axes[axis]))
		},
	},
	{
		Code: NotObeyed, Name: "drive not as demanded", PerAxis: true,
		Words: "Enclosure does not apply the commanded drive",
		Next: "Where the dish still moves, open the hard-wired stop. Look for the fault in the enclosure, " +
			"then Release.",
		Response: TripPower, Always: true, Refuses: true,
		Behind: []Code{LinkLost, Restarted, WatchdogTripped, HandPanel, DriveFault, BothEnds, PowerDidNotComeOn,
			PowerLost},
		Test: func(_ *Config, _ *Facts, s *State, axis int) bool { return s.Obedience[axis].broken() },
	},
	{
		Code: NoProgress, Name: "no progress", PerAxis: true, Distrusts: true,
		Words:    "Driven without progress towards the target",
		Next:     "Look at the dish: ice, wind, a slipping worm or encoder. Release, then reference the axis.",
		Response: TripPower,
		Behind: []Code{HandPanel, EndSwitch, EncoderFault, TooFast, WrongWay, Stalled, MotorSilent, EncoderSilent,
			MovingNotDriven, NotObeyed},
		Test: func(c *Config, f *Facts, s *State, axis int) bool {
			return s.Pursuit[axis].vain(&c.Axes[axis]) || f.Powered && !f.Stopped && s.Axes[axis].lagging(&c.Axes[axis])
		},
	},
	{
		Code: MotorOverloaded, Name: "motor overloaded", PerAxis: true,
		Words:    "Motor overload (above rated current)",
		Next:     "Let it cool. Look for ice, a dragging brake or wind, then Release.",
		Response: TripPower,
		Test:     motorOverloaded,
	},
	{
		Code: SupplyLow, Name: "drive supply low",
		Words: "Drive supply low", Next: "Check the supply and its battery, then Release.",
		Response: TripPower, Hold: 2 * time.Second,
		Test: func(c *Config, f *Facts, _ *State, _ int) bool {
			return c.Limits.SupplyLow > 0 && f.Ours && f.DriveSupplyV < c.Limits.SupplyLow
		},
	},
	{
		Code: OverTemperature, Name: "over temperature", PerAxis: true,
		Words: "Motor or drive stage too hot", Next: "Let it cool, then Release.",
		Response: TripPower, Hold: 2 * time.Second, Refuses: true,
		Test: overTemperature,
	},
	{
		Code: WindStow, Name: "wind: stow",
		Words: "Wind is, or was recently, above the stow limit", Next: "Stow the dish. It goes by itself after a " +
			"countdown, unless that was cancelled. While locked out nothing moves: Release, then stow.",
		Response: Stow,
		Test:     windStow,
	},
	{
		Code: WindWarning, Name: "wind: warning",
		Words: "Strong wind", Next: "Watch it; be ready to stow.",
		Response: Warn, Behind: []Code{WindStow},
		Test: windWarning,
	},
	{
		Code: WindSensorMissing, Name: "wind sensor missing",
		Words:    "No reading from the wind sensor",
		Next:     "Watch the wind yourself: the dish will not stow by it. Check the sensor.",
		Response: Warn, Hold: 10 * time.Second, Behind: []Code{LinkLost},
		Test: func(_ *Config, f *Facts, s *State, _ int) bool {
			return f.Connected && f.WindFitted && (math.IsNaN(f.WindMean) || s.Fitted.Gust && math.IsNaN(f.WindGust))
		},
	},
	{
		Code: WindSensorFrozen, Name: "wind sensor frozen",
		Words: "Wind sensor unchanged for a long time", Next: "It may be iced up. Watch the wind yourself.",
		Response: Warn, Behind: []Code{LinkLost, WindSensorMissing},
		Test: windFrozen,
	},
	{
		Code: SupplyMissing, Name: "drive supply reading missing",
		Words: "Drive supply reading lost: not monitored",
		Next: "Check its sensor. With drive power on you can still move and stow; it does not come on again " +
			"before, unless its limit is set to 0.",
		Response: Warn, RefusesPower: true, Hold: missingFor, Behind: []Code{LinkLost},
		Test: func(c *Config, f *Facts, s *State, _ int) bool {
			return c.Limits.SupplyLow > 0 && s.Fitted.Supply && math.IsNaN(f.DriveSupplyV)
		},
	},
	{
		Code: TemperatureMissing, Name: "temperature reading missing", PerAxis: true,
		Words: "Temperature reading of motor or drive stage lost: not monitored",
		Next: "Check the sensor. With drive power on you can still move and stow; it does not come on again " +
			"before, unless its limit is set to 0.",
		Response: Warn, RefusesPower: true, Hold: missingFor, Behind: []Code{LinkLost},
		Test: temperatureMissing,
	},
	{
		Code: CurrentMissing, Name: "motor current missing", PerAxis: true,
		Words:    "Motor current reading lost: overload or a stall is found late or not at all",
		Next:     "Check its sensor in the enclosure. Drive power stays off until it reads again.",
		Response: Warn, RefusesPower: true, Hold: missingFor, Behind: []Code{LinkLost},
		Test: func(_ *Config, f *Facts, s *State, axis int) bool {
			return s.Fitted.Current[axis] && math.IsNaN(f.Axes[axis].CurrentA)
		},
	},
	{
		Code: DoorOpen, Name: "door open",
		Words:    "Enclosure door open: someone may be at the dish",
		Next:     "Close the door. Nothing starts until then.",
		Response: Rest, Refuses: true, EndsPermit: true,
		Test: func(_ *Config, f *Facts, _ *State, _ int) bool { return f.Door },
	},
	{
		Code: WorkingAtDish, Name: "working at the dish",
		Words:    "'Working at the dish' is set",
		Next:     "Clear it when everyone is clear of the dish. Nothing starts until then.",
		Response: Rest, Refuses: true, EndsPermit: true,
		Test: func(_ *Config, f *Facts, _ *State, _ int) bool { return f.Work },
	},
	{
		Code: SunNear, Name: "near the Sun",
		Words:    "Dish points near the Sun: focused sunlight can burn feed and cables",
		Next:     "Move the dish away from the Sun.",
		Response: Warn, Hold: 2 * time.Second,
		Test: func(c *Config, f *Facts, _ *State, _ int) bool {
			return c.Limits.SunAway > 0 && f.HasSun && f.SunAngle < c.Limits.SunAway
		},
	},
	{
		Code: ClockStepped, Name: "clock stepped",
		Words: "Computer clock stepped: positions in the sky jumped with it", Next: "Check date and time.",
		Response: Warn,
		Test:     clockStepped,
	},
	{
		Code: ClockOff, Name: "clock off",
		Words: "Computer clock is off", Next: "Check date and time and the time source.",
		Response: Warn, Hold: 10 * time.Second,
		Test: func(c *Config, f *Facts, _ *State, _ int) bool {
			return c.Limits.ClockOff > 0 && f.ClockOffset.Abs() > c.Limits.ClockOff
		},
	},
	{
		Code: PermitLowElevation, Name: "inhibit: low elevation",
		Words: "Too low to transmit", Next: "Wait until the target is higher.",
		Response: Withdraw,
		Test: func(c *Config, f *Facts, _ *State, _ int) bool {
			return f.PermitRequested && (!f.Axes[1].Trusted && c.Axes[1].Fitted ||
				f.ElDirection < c.Limits.PermitElevation)
		},
	},
	{
		Code: PermitClosedSector, Name: "inhibit: closed sector",
		Words: "Dish points into a sector closed to transmission", Next: "Transmit when the target has left it.",
		Response: Withdraw,
		Test:     closedSector,
	},
	{
		Code: PermitRelaySupply, Name: "inhibit: relay supply",
		Words:    "Preamplifier relay supply out of range",
		Next:     "Check the supply at the rack: the preamplifier could be lost.",
		Response: Withdraw,
		Test: func(c *Config, f *Facts, _ *State, _ int) bool {
			return f.PermitRequested && (c.Limits.RelayLow > 0 && f.RelayV < c.Limits.RelayLow ||
				c.Limits.RelayHigh > 0 && f.RelayV > c.Limits.RelayHigh)
		},
	},
	{
		Code: PermitSequencer, Name: "inhibit: sequencer",
		Words: "Sequencer fault", Next: "Look at the sequencer.",
		Response: Withdraw,
		Test:     func(_ *Config, f *Facts, _ *State, _ int) bool { return f.SequencerFault },
	},
	{
		Code: PermitReflected, Name: "inhibit: reflected power",
		Words: "Reflected power too high", Next: "Check feed, cable and relays before transmitting again.",
		Response: Withdraw,
		Test: func(c *Config, f *Facts, _ *State, _ int) bool {
			return c.Limits.ReflectedHigh > 0 && f.ReflectedW > c.Limits.ReflectedHigh ||
				c.Limits.SWRHigh > 0 && SWR(f.ForwardW, f.ReflectedW) > c.Limits.SWRHigh
		},
	},
	{
		Code: PermitCoolant, Name: "inhibit: coolant",
		Words: "Coolant too hot or its flow too low", Next: "Check pump and coolant.",
		Response: Withdraw,
		Test: func(c *Config, f *Facts, _ *State, _ int) bool {
			return c.Limits.CoolantHigh > 0 && f.CoolantC > c.Limits.CoolantHigh ||
				c.Limits.FlowLow > 0 && f.FlowLitres < c.Limits.FlowLow
		},
	},
	{
		Code: PermitOffTarget, Name: "inhibit: off target",
		Words: "Beam off the target by more than half a beamwidth", Next: "Wait until it is on the target.",
		Response: Withdraw,
		// An over that has begun is not cut.
		Test: func(_ *Config, f *Facts, _ *State, _ int) bool { return f.PermitRequested && f.OffTarget && !f.Keyed },
	},
	{
		Code: PermitReadingMissing, Name: "permit: reading missing",
		Words:    "A reading that the permit needs is missing",
		Next:     "Check relay supply, reflected power and coolant under Health, and the sensor that shows nothing.",
		Response: Withdraw, Hold: time.Second,
		Test: permitReadingMissing,
	},
	{
		Code: PermitWindowSilent, Name: "permit: window silent",
		Words: "Window not responding: the transmit permit has ended",
		Next: "Switch the transmitter off by hand where it still transmits. Request the permit again when the " +
			"window answers.",
		Response: Withdraw, EndsPermit: true,
		Test: func(c *Config, f *Facts, _ *State, _ int) bool { return f.PermitRequested && windowSilent(c, f) },
	},
}

// missingFor is how long a reading must be missing: the enclosure may skip one.
const missingFor = 3 * time.Second
