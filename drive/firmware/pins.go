package firmware

import (
	_ "embed"
	"fmt"
	"regexp"
	"sync"
)

// Kind of a pin.
type Kind string

const (
	Contact Kind = "CONTACT" // an input with the chip's pull-up
	Track   Kind = "TRACK"   // the same, sampled 20000 times a second
	Out     Kind = "OUT"     // an output, on when high
	PWM     Kind = "PWM"
	Analog  Kind = "ANALOG"
	Serial  Kind = "LINE"
	Wire    Kind = "WIRE" // an open-drain pair
)

// Words are what a kind of pin needs around it.
func (k Kind) Words() string {
	switch k {
	case Contact:
		return "contact to ground, 1 kilohm in series, pull-up 4.7 kilohms to 5 V"
	case Track:
		return "encoder output through an isolator or line receiver, pull-up 4.7 kilohms to 5 V"
	case Out:
		return "output, on when high, pull-down 10 kilohms to ground"
	case PWM:
		return "PWM, pull-down 10 kilohms to ground"
	case Analog:
		return "0 to 5 V through 1 kilohm, 100 nF to ground"
	case Serial:
		return "serial line"
	case Wire:
		return "pull-up 4.7 kilohms to 5 V"
	}
	return ""
}

// Pin of the board.
type Pin struct {
	// Name in the firmware's source.
	Name string
	// Port and Bit of the chip, A to L and 0 to 7.
	Port byte
	Bit  int
	Kind Kind
	// Board is the number printed beside the pin, Group what it belongs to,
	// Words what its wire goes to.
	Board, Group, Words string
}

//go:embed mega2560/pins.def
var pinTable string

var pinLine = regexp.MustCompile(`(?m)^PIN\((\w+), ([A-L]), ([0-7]), (\w+), "(\w+)", "([^"]*)", "([^"]*)"\)$`)

// Pins is the table of the board's pins, from the file that the compiler reads.
var Pins = sync.OnceValue(func() (pins []Pin) {
	for _, m := range pinLine.FindAllStringSubmatch(pinTable, -1) {
		pins = append(pins, Pin{m[1], m[2][0], int(m[3][0] - '0'), Kind(m[4]), m[5], m[6], m[7]})
	}
	return pins
})

// PinOf is the pin of that name; an unknown one is a mistake of the caller.
func PinOf(name string) Pin {
	for _, p := range Pins() {
		if p.Name == name {
			return p
		}
	}
	panic(fmt.Sprintf("no pin %s", name))
}
