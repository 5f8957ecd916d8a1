package watching

import (
	"fmt"
	"math"
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/permit"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
)

// sequencerProtects is what every alarm of the transmitting side has to say:
// two readings a second are too late for an amplifier or a preamplifier.
const sequencerProtects = "At two readings a second the sequencer, not this panel, protects amplifier and preamplifier."

// swrStands is how long a standing wave ratio that was too high stands in the alarms:
// the power is gone as soon as the permit is.
const swrStands = 10 * time.Second

// permitTroubles are what ended or holds the transmit permit, while it is wanted.
func (w *work) permitTroubles() (standing []alarm.Condition) {
	if ended := w.in.Ended; ended.Code != permit.None {
		standing = append(standing, alarm.Condition{
			Key: "permit ended", Grade: alarm.Notice, Words: "Transmit permit withdrawn: " + ended.String(),
			Next: "When the cause is understood and gone, request the transmit permit again.",
		})
	}
	if !w.in.Requested {
		return standing
	}
	for _, inhibit := range w.in.Inhibits {
		standing = append(standing, alarm.Condition{
			Key: fmt.Sprintf(
				"permit %d %s",
				inhibit.Code,
				inhibit.Name,
			), Grade: alarm.Notice, Words: "Transmit inhibited: " + inhibit.String(),
			Next: "The permit comes by itself when this is gone. Withdraw the request if you don't want that.",
		})
	}
	return standing
}

// transmitting are the alarms of the transmitting side that no single reading tells.
func (w *work) transmitting() (standing []alarm.Condition) {
	loop := w.in.Loop
	if loop.Readings.Value(enclosure.Sequencer) == enclosure.SequencerFault {
		standing = append(standing, alarm.Condition{
			Key: "sequencer", Event: true, Grade: alarm.Alarm, Words: "Sequencer fault",
			Next: "Do not transmit. Look at the sequencer and at what it watches. " + sequencerProtects,
		})
	}
	forward, reflected := loop.Readings.Value(enclosure.ForwardPower), loop.Readings.Value(enclosure.ReflectedPower)
	if limit := w.c.Settings.Permit.MaxSWR; limit > 0 && guard.SWR(forward, reflected) > limit {
		w.s.swrAt = w.in.At
	}
	if since := w.in.At.Sub(w.s.swrAt); since >= 0 && since < swrStands {
		standing = append(standing, alarm.Condition{
			Key: "swr", Grade: alarm.Alarm, Words: "Reflected power: the standing wave ratio is too high",
			Next: NextStep(enclosure.ReflectedPower, false),
		})
	}
	if loop.Permit.Keyed && w.s.Readings[enclosure.RelaySupply].Grade >= alarm.Alarm &&
		!math.IsNaN(loop.Readings.Value(enclosure.RelaySupply)) {
		standing = append(standing, alarm.Condition{
			Key:   "keyed relay",
			Event: true,
			Grade: alarm.Alarm,
			Words: "Transmitting while the preamplifier relay supply is out of its limits",
			Next:  "Stop transmitting now: the relay may not shield the preamplifier. " + sequencerProtects,
		})
	}
	return standing
}

// NextStep is what to do about a reading that has crossed a limit, a least one or a most.
func NextStep(i int, minimum bool) string {
	n := readingNexts[i]
	if minimum && n.low != "" {
		return n.low
	}
	if n.high != "" {
		return n.high
	}
	return "Look at it at the dish, or change its limit."
}

// nexts are what to do below a least and above a most; low is empty where it is the same.
type nexts struct{ low, high string }

// readingNexts is read only. What usually stands behind a reading is common practice, no source.
var readingNexts = [enclosure.ReadingCount]nexts{
	enclosure.DriveSupply: {"Look at mains, charger and fuses, and at the cable if it sags only while a motor runs.",
		"Look at the charger or power supply before you drive on."},
	enclosure.LogicSupply: {
		"",
		"The enclosure may restart at any moment: park the dish, then look at its power supply.",
	},
	enclosure.BatterySupply: {
		"Park while it lasts: without it a mains failure leaves the dish where it is. Look at the charger.",
		"Look at the charger: a battery that is overcharged gases.",
	},
	enclosure.PreamplifierSupply: {
		"",
		"Present measurements are doubtful. Check the supply at the mast head and its cable.",
	},
	enclosure.RelaySupply: {
		"",
		"Do not transmit: the relay may not shield the preamplifier. " + sequencerProtects,
	},
	enclosure.FeedHeaterCurrent: {"", "Look for water at the feed and for a short in its heater."},
	enclosure.AirInside: {"Check the enclosure's heater: grease and relays stiffen in the cold.",
		"Let the drives rest and look at the enclosure's fan and sunshade."},
	enclosure.AzimuthMotorTemperature: {
		"",
		"Let it cool. Check the bearing, the brake and the grease if it happens again.",
	},
	enclosure.ElevationMotorTemperature: {
		"",
		"Let it cool. Check the balance, the bearing and the grease if it happens again.",
	},
	enclosure.DriveStageTemperature: {"", "Let it cool. Check its fan and the motor currents."},
	enclosure.HumidityInside: {
		"",
		"Look at seals, glands and the drying agent: water in the enclosure is a fault that grows.",
	},
	enclosure.DetectorSupply: {"", "Levels are doubtful: the detector follows its supply."},
	enclosure.ReflectedPower: {
		"",
		"Stop transmitting. Look at feed, cable and relay, for water above all. " + sequencerProtects,
	},
	enclosure.HeatSinkTemperature: {
		"",
		"Stop transmitting and let it cool. Look at fan or pump. " + sequencerProtects,
	},
	enclosure.CoolantIn: {"Do not transmit before it has warmed: it may freeze or thicken.",
		"Stop transmitting. Look at the radiator and its fan. " + sequencerProtects},
	enclosure.CoolantOut: {"Do not transmit before it has warmed: it may freeze or thicken.",
		"Stop transmitting. Look at pump and radiator. " + sequencerProtects},
	enclosure.CoolantFlow: {
		"Stop transmitting. Look at the pump, the level and for a kink. " + sequencerProtects,
		"",
	},
	enclosure.AmplifierSupply:  {"", "Stop transmitting until you know why. " + sequencerProtects},
	enclosure.AmplifierCurrent: {"", "Stop transmitting. Look at drive power and tuning. " + sequencerProtects},
	enclosure.HighVoltage: {
		"",
		"Stop transmitting. It kills: local isolation and a discharged supply before anyone opens the amplifier.",
	},
}
