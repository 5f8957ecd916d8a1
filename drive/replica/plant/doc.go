// Package plant is the simulated dish: motors, gears, structure, wind, supplies
// and noise, as the enclosure's circuits meet them. It is pure.
//
// Inside it runs in steps of 1 ms of its own time. The same Config (with its
// Seed), faults and inputs give the same dish to the last bit.
//
// Angles are unit.Angle; a rate is a unit.Angle a second. Everything else
// carries its unit in its name. Axis angles run over the cable wrap and are
// those that a faultless encoder with a known zero would show; the sky is
// reached from them by Mount. Torques are at the axis, positive towards rising
// angles.
//
// Left out: the worm unlocking under vibration, the stiffness of the tower,
// polarisation, the lobes of the pattern one by one, and what the dish's own
// shadow does to the wind sensor.
package plant
