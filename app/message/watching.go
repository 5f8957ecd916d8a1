package message

// sequencerProtects is what every alarm of the transmitting side has to say: two readings a second are too late for an
// amplifier or a preamplifier.
const sequencerProtects = " At two readings a second the sequencer, not this panel, protects amplifier and " +
	"preamplifier."

// watching is what is told of readings and of what the dish usually does. What usually stands behind a reading is
// common practice, no source.
var watching = map[Code]string{
	"watching.learned":    "Baseline learned again: %s",
	"reading.above":       "%s, high limit %s",
	"reading.below":       "%s, low limit %s",
	"reading.crossed":     "%s %s",
	"reading.limit":       "limit %s",
	"reading.keyed-relay": "Transmitting while the preamplifier relay supply is out of its limits",
	"reading.keyed-relay.next": "Stop transmitting now: the relay may not shield the " +
		"preamplifier." + sequencerProtects,
	"reading.implausible":      "%s reads %s: implausible, treated as missing",
	"reading.implausible.next": "Check the sensor and its cable. Whatever depends on it is not monitored.",
	"permit.not-ordered":       "Transmit permit is on in the enclosure, not ordered by the panel",
	"permit.not-ordered.next": "Do not transmit. Keep people away from the feed, switch the transmitter " +
		"off, and look for the fault in the enclosure.",
	"transmit.unpermitted":           "Transmitter keyed without a permit",
	"transmit.unpermitted-sequencer": "Sequencer in transmit without a permit",
	"transmit.unpermitted-power":     "Forward power without a permit",
	"transmit.unpermitted.next": "Stop transmitting. The panel cannot stop the transmitter: look at the key, " +
		"the sequencer and the permit's wiring.",
	"transmit.unpermitted-working.next": "Someone is working at the dish: switch the transmitter off at once.",
	"reading.motor":                     "%C motor %.1f A, maximum %.1f A",
	"reading.motor.next": "Check the dish before you drive on: ice, wind, imbalance and worn bearings raise the " +
		"motor current.",
	"reading.swr":           "Reflected power: the standing wave ratio is too high",
	"sequencer.receive":     "receive",
	"sequencer.to-transmit": "going to transmit",
	"sequencer.transmit":    "transmit",
	"sequencer.to-receive":  "going to receive",
	"sequencer.faulty":      "fault",
	"sequencer.fault":       "Sequencer fault",
	"sequencer.fault.next":  "Do not transmit. Look at the sequencer and at what it watches." + sequencerProtects,
	"next.reading":          "Look at it at the dish, or change its limit.",
	"next.drive-supply-low": "Look at mains, charger and fuses, and at the cable if it sags only while a motor " +
		"runs.",
	"next.drive-supply-high": "Look at the charger or power supply before you drive on.",
	"next.logic-supply": "The enclosure may restart at any moment: park the dish, then look at its power " +
		"supply.",
	"next.battery-low": "Park while it lasts: without it a mains failure leaves the dish where it is. Look at the " +
		"charger.",
	"next.battery-high":        "Look at the charger: a battery that is overcharged gases.",
	"next.preamplifier-supply": "Present measurements are doubtful. Check the supply at the mast head and its cable.",
	"next.relay-supply":        "Do not transmit: the relay may not shield the preamplifier." + sequencerProtects,
	"next.feed-heater":         "Look for water at the feed and for a short in its heater.",
	"next.air-inside-low":      "Check the enclosure's heater: grease and relays stiffen in the cold.",
	"next.air-inside-high":     "Let the drives rest and look at the enclosure's fan and sunshade.",
	"next.azimuth-motor":       "Let it cool. Check the bearing, the brake and the grease if it happens again.",
	"next.elevation-motor":     "Let it cool. Check the balance, the bearing and the grease if it happens again.",
	"next.drive-stage":         "Let it cool. Check its fan and the motor currents.",
	"next.humidity": "Look at seals, glands and the drying agent: water in the enclosure is a fault that " +
		"grows.",
	"next.detector-supply": "Levels are doubtful: the detector follows its supply.",
	"next.reflected-power": "Stop transmitting. Look at feed, cable and relay, for water above " +
		"all." + sequencerProtects,
	"next.heat-sink":         "Stop transmitting and let it cool. Look at fan or pump." + sequencerProtects,
	"next.coolant-cold":      "Do not transmit before it has warmed: it may freeze or thicken.",
	"next.coolant-in":        "Stop transmitting. Look at the radiator and its fan." + sequencerProtects,
	"next.coolant-out":       "Stop transmitting. Look at pump and radiator." + sequencerProtects,
	"next.coolant-flow":      "Stop transmitting. Look at the pump, the level and for a kink." + sequencerProtects,
	"next.amplifier-supply":  "Stop transmitting until you know why." + sequencerProtects,
	"next.amplifier-current": "Stop transmitting. Look at drive power and tuning." + sequencerProtects,
	"next.wind": "Be ready to stow, keep people away from the dish, and stow it above the stow limit; local rules " +
		"come first.",
	"next.high-voltage": "Stop transmitting. It kills: local isolation and a discharged supply before anyone opens " +
		"the amplifier.",
	"wear.cold-sky": "cold-sky level",
	"wear.cold-sky.next": "More: snow or water in the dish or feed, interference. Less: gain lost in " +
		"preamplifier or cable.",
	"wear.coolant-flow":         "coolant flow",
	"wear.coolant-flow.next":    "Look at pump, level, filter and for a kink.",
	"wear.coolant-rise":         "temperature rise of the coolant",
	"wear.coolant-rise.next":    "Look at pump, level, filter and radiator before you go on transmitting.",
	"wear.following-error":      "tracking error",
	"wear.following-error.next": "Look for increased backlash, a loose coupling, a mount that has come loose.",
	"wear.heater-current":       "feed heater current",
	"wear.heater-current.next":  "Less: a broken element or plug. More: water, or a short that begins.",
	"wear.link-errors":          "link errors",
	"wear.link-errors.next":     "Look at plugs, screen and earth of the cable, and at what was switched on nearby.",
	"wear.learning":             "%C (learned from %d of %d blocks so far)",
	"wear.more":                 "%s (and %d more)",
	"wear.motor-current":        "motor current",
	"wear.motor-current.next":   "Look for ice, stiff grease, a bearing, a brake that drags, imbalance.",
	"wear.speed":                "speed at full drive",
	"wear.speed.next":           "Look at the motor's supply and brushes, the brake, and at what it has to move.",
	"wear.supply-sag":           "drive supply sag",
	"wear.supply-sag.next":      "Look at the battery's age, at fuses, terminals and the cable's resistance.",
	"wear.of":                   "%s %s",
	"wear.trouble":              "%s %s at %H; baseline %s",
	"wear.trouble-in":           "%s %s at %H, %s; baseline %s",
	"wear.since":                "%C, since %H",
	"wear.next":                 "%s If this is normal now, say so under Health, Station check.",
	"wear.unusual":              "%C",
	"cable.link": "%s: while transmitting the link loses replies %.1f times a minute, otherwise %.2f: RF in the " +
		"cable",
	"cable.encoder": "%s: while transmitting encoders show impossible transitions %.1f times a minute, otherwise " +
		"%.2f: RF in the cable",
	"cable.next": "%.0f times worse while keyed. Check the screen, earth and ferrites of the cable to the " +
		"dish, and RF leakage at the feed; counts may be lost too.",
	"sun.at-rest":      "The Sun comes to the %s on %d days of the year, next on %J",
	"sun.at-rest.next": "Choose a place where it never comes, north of its path, or cover the feed on those days.",
	"sun.comes":        "The Sun comes into the beam at %h, and a bare dish focuses it",
	"sun.comes.next":   "Move the dish elsewhere before then.",
	"sun.never":        "The Sun never comes within %.1f° of the %s",
	"sun.within":       "The Sun comes within %.1f° of the %s on %d days of the year, first on %J",
}

// surroundings is what is told of what runs beside the dish, and of what the operator enters for the radio path.
var surroundings = map[Code]string{
	"beside.trouble":    "%C",
	"link.refuses":      "Every request %s",
	"link.refuses.next": "The enclosure answers, so the line works. Check its firmware and the settings of the link.",
	"link.split":        "The enclosure does not know function 23: it is driven by 16 and 03, five times a second",
	"link.split.next":   "No action needed. With function 23 tracking would be closer.",
	"records.next":      "The dish goes on. Look at the disk; records resume by themselves.",
	"time-source.next": "The clock can't be compared until it answers; it is asked again by itself. Look at the " +
		"network and at clock.time_source in the settings.",
	"noise-meter.next": "No noise is measured until it answers; it is tried again by itself. Look at the meter and " +
		"at [meter] in the settings.",
	"radio.agreed":      "The agreed frequency is in MHz, %g to %g on this band",
	"radio.content":     "The electron content is %d to %d TECU",
	"radio.date":        "Date not taken: %s",
	"place.not-saved":   "Place not saved: %s",
	"place.angles":      "angles that no place has",
	"place.target":      "%s is the name of a target; choose another",
	"place.kind":        "neither a direction nor a right ascension and declination",
	"radio.no-partner":  "No partner %s in the list",
	"radio.partners":    "List of partners not taken, line %s",
	"radio.plan":        "The plan can't be of %s: it has no passes",
	"radio.period":      "The period length is %d to %d s",
	"radio.sked-length": "A minimum length is 0 to 24 hours, not %g",
	"words.control":     "its name must have no control characters",
	"date.days":         "at most %d days",
	"words.letters":     "its name must have 1 to %d letters",
	"date.many":         "there are %d already",
	"date.order":        "the last day comes before the first",
	"date.shape":        "2027-04-17 and words, or 2027-04-17/2027-04-18 and words",
	"date.year":         "a year from 1900 to 2200",
	"mark.declination":  "highest declination",
	"mark.perigee":      "perigee",
	"mark.sun-near":     "Sun near",
}
