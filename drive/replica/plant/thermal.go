package plant

import (
	"math"

	"beamhelm/drive/enclosure"
)

// thermal is what changes within seconds: temperatures, supplies and the other readings.
type thermal struct {
	chance random
	sway   [swayCount]wander
	// driveSway is by which part the drive supply strays.
	driveSway           float64
	airC, insideC       float64
	stageC, sinkC       float64
	coolantC, coolantUp float64
	readings            [enclosure.ReadingCount]float64
}

// What strays, each by itself.
const (
	swayAir = iota
	swayInside
	swayHumidity
	swayDrive
	swayLogic
	swayBattery
	swayPreamplifier
	swayRelay
	swayDetector
	swayHeater
	swayFlow
	swayAmplifier
	swayPower
	swayHighVoltage
	swayDirection
	swayCount
)

// settle is the dish as it has stood for hours: everything at its usual temperature.
func (p *Plant) settle() {
	t, c := &p.thermal, &p.config
	t.airC = c.Air.TemperatureC
	p.axes[0].temperatureC, p.axes[1].temperatureC = t.airC, t.airC
	t.insideC, t.stageC, t.sinkC, t.coolantC = t.airC+insideAbove, t.airC+stageAbove, t.airC+sinkAbove,
		t.airC+coolantAbove
	for i := range t.sway {
		t.sway[i] = wander(t.chance.normal() * 0.5)
	}
	for range 12 * slowSteps / airSteps * 10 {
		p.weather.blow(&c.Wind, airSteps*step)
	}
}

// How much warmer than the air outside things are at rest, and how fast they follow.
const (
	insideAbove, stageAbove  = 6.0, 9.0
	sinkAbove, coolantAbove  = 7.0, 6.0
	insideS, stageS, sinkS   = 900.0, 240.0, 180.0
	stageOhm, stageKPerW     = 0.06, 1.6
	sinkKPerW, coolantKPerW  = 0.05, 0.025
	heatingS                 = 15.0 // of a part that heats up by a fault
	waterJPerKPerL, minute   = 4180.0, 60.0
	stageTripC, motorTripC   = 110.0, 150.0
	heaterA, heaterIdleA     = 1.35, 0.03
	usualHumidity, fullScale = 44.0, 100.0
)

// wander moves one wandering figure and returns value with a part of it.
func (t *thermal) wander(which int, h, constant, value, by float64) float64 {
	return value + by*t.sway[which].move(&t.chance, h, constant)
}

// approach moves a temperature towards another within a time constant.
func approach(now *float64, to, h, constant float64) { *now += (to - *now) * h / (h + constant) }

// warm takes temperatures and readings h seconds on.
func (p *Plant) warm(h float64) {
	t, w := &p.thermal, &p.wrong
	outside := p.config.Air.TemperatureC
	if !math.IsNaN(w.airC) {
		outside = w.airC
	}
	approach(&t.airC, t.wander(swayAir, h, 1800, outside, 0.8), h, 60)
	stageW := 0.0
	for i := range p.axes {
		m, a := &p.axes[i], &p.config.Axes[i]
		stageW += stageOhm * m.currentA * m.currentA
		m.temperatureC += (m.heatJ - a.CoolingWPerK*(m.temperatureC-t.airC)*h) / a.ThermalJPerK
		m.heatJ = 0
		if hot := w.axes[i].motorC; !math.IsNaN(hot) {
			approach(&m.temperatureC, hot, h, heatingS)
		}
	}
	if p.powered {
		stageW += 5
	}
	approach(&t.stageC, t.airC+stageAbove+stageKPerW*stageW, h, stageS)
	if !math.IsNaN(w.stageC) {
		approach(&t.stageC, w.stageC, h, heatingS)
	}
	approach(&t.insideC, t.airC+insideAbove+0.1*stageW, h, insideS)
	p.measure(h)
	p.amplify(h)
	p.measureWind(h)
}

// measure is the readings of supplies and temperatures.
func (p *Plant) measure(h float64) {
	t, w, s, r := &p.thermal, &p.wrong, &p.config.Supplies, &p.thermal.readings
	t.driveSway = t.wander(swayDrive, h, 120, 0, 0.003)
	or := func(fault, usual float64) float64 {
		if math.IsNaN(fault) {
			return usual
		}
		return fault
	}
	r[enclosure.DriveSupply] = p.busV
	r[enclosure.LogicSupply] = or(w.logicV, s.LogicV) + t.wander(swayLogic, h, 40, 0, 0.006)
	r[enclosure.BatterySupply] = or(w.batteryV, s.BatteryV) + t.wander(swayBattery, h, 600, 0, 0.04)
	preamplifier := t.wander(swayPreamplifier, h, 90, s.PreamplifierV, 0.03)
	if !p.preamplified() {
		preamplifier = 0
	}
	r[enclosure.PreamplifierSupply] = preamplifier
	relay := p.relayV() + t.wander(swayRelay, h, 60, 0, 0.05)
	if !p.receiving() {
		relay -= 0.5 // its coil draws current
	}
	r[enclosure.RelaySupply] = relay
	heater := heaterIdleA
	if p.in.Outputs&enclosure.OutputFeedHeater != 0 && !w.heaterDead {
		heater = t.wander(swayHeater, h, 30, heaterA, 0.02)
	}
	r[enclosure.FeedHeaterCurrent] = heater
	r[enclosure.AirInside] = t.insideC + t.wander(swayInside, h, 200, 0, 0.2)
	r[enclosure.AirOutside] = t.airC
	r[enclosure.AzimuthMotorTemperature], r[enclosure.ElevationMotorTemperature] = p.axes[0].temperatureC,
		p.axes[1].temperatureC
	r[enclosure.DriveStageTemperature] = t.stageC
	humidity := usualHumidity + 0.3*(p.config.Air.HumidityPercent-70)
	r[enclosure.HumidityInside] = min(fullScale, or(w.humidity, t.wander(swayHumidity, h, 900, humidity, 1.5)))
	r[enclosure.DetectorSupply] = t.wander(swayDetector, h, 60, s.DetectorV, 0.004)
	r[enclosure.AzimuthPeakCurrent], r[enclosure.ElevationPeakCurrent] = math.NaN(), math.NaN()
	for i := enclosure.ElevationPeakCurrent + 1; i < enclosure.ReadingCount; i++ {
		r[i] = math.NaN()
	}
}

// amplify is the amplifier: power, supplies and what carries its heat away.
func (p *Plant) amplify(h float64) {
	t, w, x, r := &p.thermal, &p.wrong, &p.config.Sequencer, &p.thermal.readings
	forward, reflected := 0.0, x.ReflectedPart
	if p.keying.keyed() {
		forward = p.band().ForwardW * t.wander(swayPower, h, 20, 1, 0.01)
	}
	if !math.IsNaN(w.reflected) {
		reflected = w.reflected
	}
	flow := t.wander(swayFlow, h, 30, x.FlowLPerMin, 0.05)
	if !math.IsNaN(w.flow) {
		flow = w.flow
	}
	heat := forward*(1/x.AmplifierEfficiency-1) + forward*reflected
	approach(&t.coolantC, t.airC+coolantAbove+coolantKPerW*heat, h, 2*sinkS)
	rise := heat * minute / (waterJPerKPerL * max(0.2, flow))
	approach(&t.coolantUp, rise, h, 8)
	approach(&t.sinkC, t.coolantC+1+t.coolantUp/2+sinkKPerW*heat, h, sinkS/4)
	current := forward/x.AmplifierEfficiency/x.AmplifierV + 0.4
	r[enclosure.ForwardPower], r[enclosure.ReflectedPower] = forward, forward*reflected
	r[enclosure.HeatSinkTemperature], r[enclosure.CoolantIn], r[enclosure.CoolantOut] = t.sinkC, t.coolantC,
		t.coolantC+t.coolantUp
	r[enclosure.CoolantFlow] = flow
	r[enclosure.AmplifierSupply] = t.wander(swayAmplifier, h, 60, x.AmplifierV, 0.06) - 0.02*current
	r[enclosure.AmplifierCurrent] = current
	r[enclosure.HighVoltage] = math.NaN()
	if x.HighVoltageV > 0 {
		r[enclosure.HighVoltage] = t.wander(swayHighVoltage, h, 45, x.HighVoltageV, 0.004*x.HighVoltageV) - 0.1*forward
	}
	r[enclosure.Sequencer] = float64(p.keying.state)
	if !p.config.Fitted.Has(enclosure.FittedAmplifier) {
		for _, i := range [...]int{enclosure.ForwardPower, enclosure.ReflectedPower, enclosure.HeatSinkTemperature,
			enclosure.CoolantIn,
			enclosure.CoolantOut, enclosure.CoolantFlow, enclosure.AmplifierSupply, enclosure.AmplifierCurrent,
			enclosure.HighVoltage} {
			r[i] = math.NaN()
		}
	}
	if !p.config.Fitted.Has(enclosure.FittedTransmitGate) {
		r[enclosure.Sequencer] = math.NaN()
	}
	if p.wrong.sensorsGone {
		for _, i := range [...]int{enclosure.DriveSupply, enclosure.RelaySupply, enclosure.AzimuthMotorTemperature,
			enclosure.ElevationMotorTemperature, enclosure.DriveStageTemperature} {
			r[i] = math.NaN()
		}
	}
	p.out.Readings = *r
}

// measureWind is the wind sensor.
func (p *Plant) measureWind(h float64) {
	r, w := &p.thermal.readings, &p.weather
	mean, gust := w.meanMPS, w.gust
	from := w.from + p.thermal.wander(swayDirection, h, 1, 0, 3*math.Pi/180)
	degrees := math.Mod(math.Mod(from*180/math.Pi, 360)+360, 360)
	switch {
	case p.wrong.windGone || !p.config.Fitted.Has(enclosure.FittedWind):
		mean, gust, degrees = math.NaN(), math.NaN(), math.NaN()
	case p.wrong.windFrozen:
		mean, gust, degrees = 0, 0, r[enclosure.WindDirection]
	}
	r[enclosure.WindMean], r[enclosure.WindGust], r[enclosure.WindDirection] = mean, gust, degrees
	p.out.Readings = *r
}
