package plant

import "math"

// step is the plant's own step, seconds.
const step = 0.001

// mechanics is one axis in motion. Angles in rad, speeds in rad/s.
type mechanics struct {
	// What the configuration gives.
	constant              float64 // V s/rad and Nm/A
	slope, follow         float64 // of the duty in a step
	half                  float64 // of the backlash
	spring, springDamping float64 // structure
	teethDamping          float64
	hardLow, hardHigh     float64

	// Where everything is. Worm differs from motor by what a broken coupling let slip.
	motor, hub, dish                float64
	motorSpeed, hubSpeed, dishSpeed float64
	slip                            float64

	asked, duty float64 // of the bridge, before and after its own slope
	currentA    float64 // of the bridge, with the sign of the drive
	motorA      float64 // of the motor, + raises the angle
	teethNm     float64 // from worm to wheel

	// What changes slowly, renewed every few steps.
	outerNm        float64 // wind on the reflector
	gravityNm      float64
	turnNm         float64 // sliding friction of motor and worm
	viscousNm      float64 // for each rad/s
	bearingNm      float64
	windingOhm     float64
	inhibitLow     bool // end switches, which act on the drive stage by wire
	inhibitHigh    bool
	heatJ          float64 // put into the winding since it was last asked
	temperatureC   float64
	wornLoss, push float64 // of a gear that runs free
}

// newMechanics is an axis at rest at its place, lying on one side of the backlash.
func newMechanics(a *Axis, s *Supplies) mechanics {
	k := a.DishKgM2 * square(2*math.Pi*a.StructureHz)
	constant := a.voltsPerSpeed(s)
	m := mechanics{
		constant: constant, slope: a.Acceleration.Rad() * constant / s.DriveV * step, follow: step / (step + a.LagS),
		half: a.Backlash.Rad() / 2, spring: k, springDamping: 2 * a.StructureDamping * math.Sqrt(k*a.DishKgM2),
		teethDamping: 0.4 * math.Sqrt(a.GearNmPerRad*a.HubKgM2),
		hardLow:      (a.EndLow - a.HardStop).Rad(), hardHigh: (a.EndHigh + a.HardStop).Rad(),
		motor: a.Place.Rad(), hub: a.Place.Rad(), dish: a.Place.Rad(), wornLoss: a.WormLoss,
	}
	if a.ImbalanceNm > 0 {
		m.motor += m.half
	}
	return m
}

// electric is the motor's circuit for one step: the torque at the motor.
func (m *mechanics) electric(a *Axis, applied, busV float64, powered, dead, reversed bool) float64 {
	if !powered || dead {
		m.asked, m.duty, m.currentA = 0, 0, 0
		if dead {
			m.motorA = 0
			return 0
		}
		m.motorA = -m.constant * m.motorSpeed / (m.windingOhm + a.BrakeOhm)
		return m.constant * m.motorA
	}
	m.asked += (applied - m.asked) * m.follow
	m.duty += max(-m.slope, min(m.slope, m.asked-m.duty))
	sense := float64(a.DriveDirection)
	if m.inhibitHigh && m.duty*sense > 0 || m.inhibitLow && m.duty*sense < 0 {
		m.asked, m.duty = 0, 0
	}
	if reversed {
		sense = -sense
	}
	amperes := (m.duty*sense*busV - m.constant*m.motorSpeed) / m.windingOhm
	m.motorA = max(-a.CurrentLimitA, min(a.CurrentLimitA, amperes))
	m.currentA = m.motorA * sense
	return m.constant * m.motorA
}

// move takes the axis one step on. motorNm comes from the motor; apart says
// that the coupling between motor and worm is broken; held is a torque that
// holds the hub, brake one that holds the motor.
func (m *mechanics) move(a *Axis, motorNm float64, apart bool, held, brake float64) {
	// Teeth: they push only, on either side of the backlash.
	m.teethNm = 0
	wormSpeed := m.motorSpeed
	if apart {
		wormSpeed = 0
	}
	gap := m.motor - m.slip - m.hub
	switch {
	case gap > m.half:
		m.teethNm = max(0, a.GearNmPerRad*(gap-m.half)+m.teethDamping*(wormSpeed-m.hubSpeed))
	case gap < -m.half:
		m.teethNm = min(0, a.GearNmPerRad*(gap+m.half)+m.teethDamping*(wormSpeed-m.hubSpeed))
	}
	// A push from outside goes through a worn gear to the motor.
	load := m.teethNm
	if apart {
		load = 0
	}
	friction := m.turnNm*a.stribeck(m.motorSpeed) + m.viscousNm*math.Abs(m.motorSpeed) + m.wornLoss*math.Abs(load) +
		brake
	m.motorSpeed = slide(m.motorSpeed, motorNm-load, friction, a.MotorKgM2)

	bend := m.dish - m.hub
	springNm := m.spring*bend + m.springDamping*(m.dishSpeed-m.hubSpeed)
	hubNm := m.teethNm + springNm + m.gravityNm + m.push + m.buffer()
	m.hubSpeed = slide(m.hubSpeed, hubNm, m.bearingNm*a.stribeck(m.hubSpeed)+held, a.HubKgM2)
	m.dishSpeed += step * (m.outerNm - springNm) / a.DishKgM2

	m.motor += step * m.motorSpeed
	if apart {
		m.slip += step * m.motorSpeed
	}
	m.hub += step * m.hubSpeed
	m.dish += step * m.dishSpeed
	m.heatJ += step * m.motorA * m.motorA * m.windingOhm
}

// buffer is the torque of the hard stops.
func (m *mechanics) buffer() float64 {
	const stiff, damping = 2e6, 2e4 // Nm/rad, Nm s/rad
	if over := m.hub - m.hardHigh; over > 0 {
		return -max(0, stiff*over+damping*m.hubSpeed)
	}
	if over := m.hardLow - m.hub; over > 0 {
		return max(0, stiff*over-damping*m.hubSpeed)
	}
	return 0
}

// stribeck is friction at a speed over sliding friction, viscous part left
// out: [Tc + (Ts - Tc) exp(-(w/ws)^2)] / Tc, the Stribeck curve (Andersson,
// Soderberg and Bjorklund, Friction models for sliding dry, boundary and mixed
// lubricated contacts, Tribology International 40, 2007).
func (a *Axis) stribeck(speed float64) float64 {
	part := speed / a.StribeckSpeed.Rad()
	if part = part * part; part > 30 {
		return 1
	}
	return 1 + (a.Sticking-1)*math.Exp(-part)
}

// slide is the speed after a step under a torque and a friction that can hold:
// friction never does more than bring it to rest.
func slide(speed, torque, friction, inertia float64) float64 {
	speed += step * torque / inertia
	by := step * friction / inertia
	switch {
	case speed > by:
		return speed - by
	case speed < -by:
		return speed + by
	}
	return 0
}

func square(v float64) float64 { return v * v }
