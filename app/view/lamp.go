package view

// Lamp is how the transmit lamp looks.
type Lamp uint8

const (
	LampUnknown   Lamp = iota // nothing is heard
	LampOff                   // the station receives, without a permit
	LampPermitted             // it receives, and may transmit
	LampKeyed                 // it transmits
)

// TransmitLamp is the lamp beside Transmit.
func TransmitLamp(now Now) Lamp {
	switch {
	case !now.Live:
		return LampUnknown
	case now.Transmit.Keyed:
		return LampKeyed
	case now.Transmit.Permitted:
		return LampPermitted
	}
	return LampOff
}
