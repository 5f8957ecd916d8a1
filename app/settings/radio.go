package settings

// RadioFamily is how a radio is spoken to.
type RadioFamily string

const (
	NoRadio     RadioFamily = "none"
	FramedRadio RadioFamily = "framed" // binary frames with an address
	ASCIIRadio  RadioFamily = "ascii"  // commands that end with a semicolon
)

// Radio is the radio's serial control port.
type Radio struct {
	Family   RadioFamily `toml:"family"`
	Port     string      `toml:"port"`
	Baud     int         `toml:"baud"`
	StopBits int         `toml:"stop_bits"`
	Address  int         `toml:"address"` // of the framed family
	RTS      bool        `toml:"rts"`
	// Set sets the dial; WhileTransmitting does so while transmitting too.
	Set               bool `toml:"set_dial"`
	WhileTransmitting bool `toml:"set_while_transmitting"`
}

// KeyingLine is the line of a serial port that keys the transmitter.
type KeyingLine string

const (
	RTSKeys KeyingLine = "rts"
	DTRKeys KeyingLine = "dtr"
)

// Keying is how the transmitter is keyed for a measurement of one's own echoes, by hand where Port is empty, and how
// the tone gets there; without Output there is no such measurement.
type Keying struct {
	Port   string     `toml:"port"`
	Line   KeyingLine `toml:"line"`
	LimitS float64    `toml:"max_transmission_s"`
	Output string     `toml:"tone_output"` // ID or name of the sound system's device
	LeadS  float64    `toml:"lead_s"`
	BackS  float64    `toml:"back_to_receive_s"`
	SoundS float64    `toml:"sound_delay_s"`
}
