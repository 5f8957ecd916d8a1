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
