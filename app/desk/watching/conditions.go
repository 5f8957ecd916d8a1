package watching

import (
	"fmt"
	"math"
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/permit"
	"beamhelm/app/message"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
)

// swrStands is how long a standing wave ratio that was too high stands in the alarms:
// the power is gone as soon as the permit is.
const swrStands = 10 * time.Second

// permitTroubles are what ended or holds the transmit permit, while it is wanted.
func (w *work) permitTroubles() (standing []alarm.Condition) {
	if ended := w.in.Ended; ended.Code != permit.None {
		standing = append(standing, alarm.Condition{
			Key: "permit ended", Grade: alarm.Notice, Words: message.Of("permit.withdrawn", ended.Past()),
			Next: message.Of("permit.withdrawn.next"),
		})
	}
	if !w.in.Requested {
		return standing
	}
	for _, inhibit := range w.in.Inhibits {
		standing = append(standing, alarm.Condition{
			Key: fmt.Sprintf(
				"permit %d %s %d",
				inhibit.Code,
				inhibit.Name,
				inhibit.Guard,
			), Grade: alarm.Notice, Words: message.Of("permit.inhibited", inhibit.Message()),
			Next: message.Of("permit.inhibited.next"),
		})
	}
	return standing
}

// transmitting are the alarms of the transmitting side that no single reading tells.
func (w *work) transmitting() (standing []alarm.Condition) {
	loop := w.in.Loop
	if loop.Readings.Value(enclosure.Sequencer) == enclosure.SequencerFault {
		standing = append(standing, alarm.Condition{
			Key: "sequencer", Event: true, Grade: alarm.Alarm, Words: message.Of("sequencer.fault"),
			Next: message.Of("sequencer.fault.next"),
		})
	}
	forward, reflected := loop.Readings.Value(enclosure.ForwardPower), loop.Readings.Value(enclosure.ReflectedPower)
	if limit := w.c.Settings.Permit.MaxSWR; limit > 0 && guard.SWR(forward, reflected) > limit {
		w.s.swrAt = w.in.At
	}
	if since := w.in.At.Sub(w.s.swrAt); since >= 0 && since < swrStands {
		standing = append(standing, alarm.Condition{
			Key: "swr", Grade: alarm.Alarm, Words: message.Of("reading.swr"),
			Next: NextStep(enclosure.ReflectedPower, false),
		})
	}
	if loop.Permit.Keyed && w.s.Readings[enclosure.RelaySupply].Grade >= alarm.Alarm &&
		!math.IsNaN(loop.Readings.Value(enclosure.RelaySupply)) {
		standing = append(standing, alarm.Condition{
			Key:   "keyed relay",
			Event: true,
			Grade: alarm.Alarm,
			Words: message.Of("reading.keyed-relay"),
			Next:  message.Of("reading.keyed-relay.next"),
		})
	}
	return standing
}

// NextStep is what to do about a reading that has crossed a limit, a least one or a most.
func NextStep(i int, minimum bool) message.Message {
	n := readingNexts[i]
	if minimum && n.low != "" {
		return message.Of(n.low)
	}
	if n.high != "" {
		return message.Of(n.high)
	}
	return message.Of("next.reading")
}

// nexts are what to do below a least and above a most; low is empty where it is the same.
type nexts struct{ low, high message.Code }

// readingNexts is read only.
var readingNexts = [enclosure.ReadingCount]nexts{
	enclosure.DriveSupply:               {"next.drive-supply-low", "next.drive-supply-high"},
	enclosure.LogicSupply:               {"", "next.logic-supply"},
	enclosure.BatterySupply:             {"next.battery-low", "next.battery-high"},
	enclosure.PreamplifierSupply:        {"", "next.preamplifier-supply"},
	enclosure.RelaySupply:               {"", "next.relay-supply"},
	enclosure.FeedHeaterCurrent:         {"", "next.feed-heater"},
	enclosure.AirInside:                 {"next.air-inside-low", "next.air-inside-high"},
	enclosure.AzimuthMotorTemperature:   {"", "next.azimuth-motor"},
	enclosure.ElevationMotorTemperature: {"", "next.elevation-motor"},
	enclosure.DriveStageTemperature:     {"", "next.drive-stage"},
	enclosure.HumidityInside:            {"", "next.humidity"},
	enclosure.DetectorSupply:            {"", "next.detector-supply"},
	enclosure.ReflectedPower:            {"", "next.reflected-power"},
	enclosure.HeatSinkTemperature:       {"", "next.heat-sink"},
	enclosure.CoolantIn:                 {"next.coolant-cold", "next.coolant-in"},
	enclosure.CoolantOut:                {"next.coolant-cold", "next.coolant-out"},
	enclosure.CoolantFlow:               {"next.coolant-flow", ""},
	enclosure.AmplifierSupply:           {"", "next.amplifier-supply"},
	enclosure.AmplifierCurrent:          {"", "next.amplifier-current"},
	enclosure.HighVoltage:               {"", "next.high-voltage"},
	enclosure.WindMean:                  {"", "next.wind"},
	enclosure.WindGust:                  {"", "next.wind"},
}
